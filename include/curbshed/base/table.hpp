// Tables and map layers: typed columns with unit and title. What geodata reads and writes, what report fills.
#pragma once

#include "curbshed/base/geometry.hpp"

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

namespace curbshed::base {

enum class ColumnType : std::uint8_t { Integer, Real, Text };

struct Column {
  std::string name;   ///< as written in files; carries the unit (`peak_before_l_s`)
  std::string title;  ///< for people
  std::string unit;   ///< "" when it has none
  ColumnType type = ColumnType::Text;
};

/// Absent, or a value of the column's type.
using Cell = std::variant<std::monostate, std::int64_t, double, std::string>;

struct Table {
  std::string name;
  std::string title;
  std::string description;
  std::vector<Column> columns;
  std::vector<std::vector<Cell>> rows;

  std::optional<std::size_t> column(std::string_view name) const;
};

/// One shape a row. In layers that were read, `source` says where and `ids` how the file names each feature.
struct MapLayer {
  Table table;
  ShapeKind kind = ShapeKind::None;
  std::vector<Shape> shapes;     ///< as many as rows
  std::vector<std::string> ids;  ///< as many as rows
  std::string source;            ///< "file:layer" as the user wrote it; "" in layers of our own
};

/// Throws BugError when a row's cells do not fit the columns, a number is not finite or the counts differ.
void check(const Table& table);
void check(const MapLayer& layer);

}  // namespace curbshed::base
