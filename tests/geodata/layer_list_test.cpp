#include "curbshed/geodata/layer_list.hpp"

#include "curbshed/base/error.hpp"

#include "support/small_study.hpp"

#include <gtest/gtest.h>

namespace curbshed::geodata {
namespace {

using testing::SmallStudy;
using testing::TempFolder;

TEST(LayerList, SaysShapeFieldsAndSystemOfEachLayer) {
  const TempFolder folder;
  SmallStudy::write(folder);
  const std::vector<LayerHead> heads = list_layers(folder.file("curbs.geojson"));
  ASSERT_EQ(heads.size(), 1U);
  EXPECT_EQ(heads[0].kind, base::ShapeKind::Line);
  EXPECT_EQ(heads[0].features, 2);
  EXPECT_EQ(heads[0].crs_name, "NAD83 / UTM zone 12N");
  EXPECT_EQ(heads[0].fields, (std::vector<std::string>{"id", "kind", "h", "street", "side"}));
}

TEST(LayerList, ATableHasNoShape) {
  const TempFolder folder;
  SmallStudy::write(folder);
  const std::vector<LayerHead> heads = list_layers(folder.file("cuts.csv"));
  ASSERT_EQ(heads.size(), 1U);
  EXPECT_EQ(heads[0].kind, base::ShapeKind::None);
  EXPECT_EQ(heads[0].fields.front(), "name");
}

TEST(LayerList, WhatIsNoMapFileIsNamed) {
  const TempFolder folder;
  folder.write("letter.txt", "dear city");
  EXPECT_THROW(list_layers(folder.file("letter.txt")), base::InputError);
  EXPECT_THROW(list_layers(folder.file("nothing.gpkg")), base::InputError);
}

}  // namespace
}  // namespace curbshed::geodata
