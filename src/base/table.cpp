#include "curbshed/base/table.hpp"

#include "curbshed/base/error.hpp"

#include <cmath>

#include <fmt/format.h>

namespace curbshed::base {
namespace {

bool fits(const Cell& cell, ColumnType type) {
  switch (type) {
    case ColumnType::Integer:
      return std::holds_alternative<std::int64_t>(cell);
    case ColumnType::Real:
      return std::holds_alternative<double>(cell);
    case ColumnType::Text:
      return std::holds_alternative<std::string>(cell);
  }
  return false;
}

[[noreturn]] void broken(const Table& table, const std::string& what) {
  throw BugError(fmt::format("table '{}': {}", table.name, what));
}

bool one_kind(const Shape& shape) {
  const bool points = !shape.points.empty();
  const bool lines = !shape.lines.empty();
  const bool polygons = !shape.polygons.empty();
  switch (shape.kind) {
    case ShapeKind::None:
      return !points && !lines && !polygons;
    case ShapeKind::Point:
      return points && !lines && !polygons;
    case ShapeKind::Line:
      return !points && lines && !polygons;
    case ShapeKind::Polygon:
      return !points && !lines && polygons;
  }
  return false;
}

bool finite_shape(const Shape& shape) {
  const auto good = [](const Polyline& line) {
    for (const Point& p : line) {
      if (!std::isfinite(p.x_m) || !std::isfinite(p.y_m)) {
        return false;
      }
    }
    return true;
  };
  bool all = good(shape.points);
  for (const Polyline& line : shape.lines) {
    all = all && good(line);
  }
  for (const Polygon& polygon : shape.polygons) {
    for (const Polyline& ring : polygon.rings) {
      all = all && good(ring);
    }
  }
  return all;
}

}  // namespace

std::optional<std::size_t> Table::column(std::string_view wanted) const {
  for (std::size_t i = 0; i < columns.size(); ++i) {
    if (columns[i].name == wanted) {
      return i;
    }
  }
  return std::nullopt;
}

void check(const Table& table) {
  for (std::size_t c = 0; c < table.columns.size(); ++c) {
    if (table.columns[c].name.empty() || table.column(table.columns[c].name) != c) {
      broken(table,
             fmt::format("column {} ('{}') has no name or one that is used twice", c, table.columns[c].name));
    }
  }
  for (std::size_t r = 0; r < table.rows.size(); ++r) {
    const std::vector<Cell>& row = table.rows[r];
    if (row.size() != table.columns.size()) {
      broken(table, fmt::format("row {} has {} cells for {} columns", r, row.size(), table.columns.size()));
    }
    for (std::size_t c = 0; c < row.size(); ++c) {
      const Cell& cell = row[c];
      if (std::holds_alternative<std::monostate>(cell)) {
        continue;
      }
      if (!fits(cell, table.columns[c].type)) {
        broken(table,
               fmt::format("row {}, column '{}': the cell is of another type", r, table.columns[c].name));
      }
      const double* number = std::get_if<double>(&cell);
      if (number != nullptr && !std::isfinite(*number)) {
        broken(table,
               fmt::format("row {}, column '{}': {} is not finite", r, table.columns[c].name, *number));
      }
    }
  }
}

void check(const MapLayer& layer) {
  check(layer.table);
  const std::size_t rows = layer.table.rows.size();
  if (layer.shapes.size() != rows) {
    broken(layer.table, fmt::format("{} shapes for {} rows", layer.shapes.size(), rows));
  }
  if (layer.ids.size() != rows && !(layer.ids.empty() && layer.source.empty())) {
    broken(layer.table, fmt::format("{} ids for {} rows", layer.ids.size(), rows));
  }
  for (std::size_t r = 0; r < rows; ++r) {
    const Shape& shape = layer.shapes[r];
    if (!one_kind(shape) ||
        (shape.kind != layer.kind && layer.kind != ShapeKind::None && shape.kind != ShapeKind::None)) {
      broken(layer.table, fmt::format("the shape of row {} is not of the layer's kind", r));
    }
    if (!finite_shape(shape)) {
      broken(layer.table, fmt::format("the shape of row {} has a coordinate that is not finite", r));
    }
  }
}

}  // namespace curbshed::base
