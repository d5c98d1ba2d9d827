#include "curbshed/base/table.hpp"

#include "curbshed/base/error.hpp"

#include <limits>

#include <gtest/gtest.h>

namespace curbshed::base {
namespace {

Table two_columns() {
  Table table;
  table.name = "cuts";
  table.columns = {{"cut", "Cut", "", ColumnType::Text}, {"peak_l_s", "Peak", "L/s", ColumnType::Real}};
  table.rows = {{std::string("A"), 1.5}, {std::string("B"), std::monostate{}}};
  return table;
}

TEST(Table, FindsColumnsByName) {
  const Table table = two_columns();
  EXPECT_EQ(table.column("peak_l_s"), 1U);
  EXPECT_FALSE(table.column("Peak").has_value());
  EXPECT_NO_THROW(check(table));
}

TEST(Table, RefusesBrokenRows) {
  Table table = two_columns();
  table.rows.push_back({std::string("C")});
  EXPECT_THROW(check(table), BugError);
  table = two_columns();
  table.rows[0][1] = std::int64_t{1};
  EXPECT_THROW(check(table), BugError);
  table = two_columns();
  table.rows[0][1] = std::numeric_limits<double>::quiet_NaN();
  EXPECT_THROW(check(table), BugError);
  table = two_columns();
  table.columns[1].name = "cut";
  EXPECT_THROW(check(table), BugError);
}

TEST(MapLayer, ShapesFitRowsAndKind) {
  MapLayer layer;
  layer.table = two_columns();
  layer.kind = ShapeKind::Point;
  layer.shapes = {point_shape({1, 2}), Shape{}};
  EXPECT_NO_THROW(check(layer));
  layer.shapes[1] = line_shape({{0, 0}, {1, 1}});
  EXPECT_THROW(check(layer), BugError);
  layer.shapes[1] = point_shape({1, std::numeric_limits<double>::infinity()});
  EXPECT_THROW(check(layer), BugError);
  layer.shapes.pop_back();
  EXPECT_THROW(check(layer), BugError);
}

}  // namespace
}  // namespace curbshed::base
