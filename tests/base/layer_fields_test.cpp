#include "curbshed/base/layer_fields.hpp"

#include <gtest/gtest.h>

namespace curbshed::base {
namespace {

MapLayer cuts() {
  MapLayer layer;
  layer.source = "cuts.csv";
  layer.kind = ShapeKind::Point;
  layer.table.columns = {{"length", "", "", ColumnType::Text},
                         {"year", "", "", ColumnType::Integer},
                         {"flow", "", "", ColumnType::Real}};
  layer.table.rows = {{std::string(" 1.5 "), std::int64_t{2020}, 0.1},
                      {std::string("1,5"), std::monostate{}, std::monostate{}},
                      {std::monostate{}, std::monostate{}, std::monostate{}}};
  layer.shapes = {point_shape({0, 0}), point_shape({1, 0}), point_shape({2, 0})};
  layer.ids = {"A", "B", "C"};
  return layer;
}

TEST(LayerFields, NumbersComeFromEveryTypeOfColumn) {
  const MapLayer layer = cuts();
  EXPECT_EQ(number_at(layer, 0, 0), 1.5);
  EXPECT_EQ(number_at(layer, 0, 1), 2020.0);
  EXPECT_EQ(number_at(layer, 0, 2), 0.1);
  EXPECT_EQ(number_at(layer, 2, 0), std::nullopt);
  EXPECT_EQ(text_at(layer, 0, 1), "2020");
  EXPECT_EQ(text_at(layer, 0, 2), "0.1");
  EXPECT_EQ(text_at(layer, 2, 0), "");
}

TEST(LayerFields, TextThatIsNoNumberNamesFeatureAndField) {
  try {
    number_at(cuts(), 1, 0);
    FAIL();
  } catch (const InputError& e) {
    EXPECT_STREQ(
        e.what(),
        "cuts.csv, B: field \"length\" reads \"1,5\". Allowed: one number with a point as decimal sign, "
        "or nothing. Do: correct this feature.");
  }
}

TEST(LayerFields, AMissingFieldListsThoseThatExist) {
  EXPECT_EQ(field_column(cuts(), "flow"), 2U);
  try {
    field_column(cuts(), "lenght");
    FAIL();
  } catch (const InputError& e) {
    EXPECT_STREQ(
        e.what(),
        "cuts.csv: there is no field \"lenght\". Allowed: the fields length, year, flow. Do: name one of "
        "these in the study, or add the field to the layer.");
  }
}

TEST(LayerFields, ParsesOneNumberAndNothingElse) {
  EXPECT_EQ(parse_number("-2.5e3"), -2500.0);
  EXPECT_EQ(parse_number("\u22121"), -1.0);
  EXPECT_EQ(parse_number("+.5\n"), 0.5);
  for (const char* text : {"", " ", "nan", "inf", "1 2", "1,5", "0x1p3", "--1", "1e999", "five"}) {
    EXPECT_EQ(parse_number(text), std::nullopt) << text;
  }
}

}  // namespace
}  // namespace curbshed::base
