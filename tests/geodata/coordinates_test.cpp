#include "curbshed/geodata/coordinates.hpp"

#include <gtest/gtest.h>

namespace curbshed::geodata {
namespace {

const Projection& utm12() {
  static const Projection projection = read_projection("EPSG:32612", {});
  return projection;
}

TEST(Coordinates, DegreesComeBackToTheSameMetres) {
  const std::vector<base::Point> points{{431222.0, 3702120.3}, {431000.0, 3702000.0}};
  const auto degrees = longitudes_latitudes(points, utm12());
  const PlaceReader reader("EPSG:4326", utm12(), {});
  for (std::size_t i = 0; i < points.size(); ++i) {
    ASSERT_TRUE(degrees[i].has_value());
    EXPECT_NEAR(degrees[i]->longitude_deg, -111.74, 0.01);  // zone 12: central meridian −111
    EXPECT_NEAR(degrees[i]->latitude_deg, 33.46, 0.02);
    const auto back = reader.point(degrees[i]->longitude_deg, degrees[i]->latitude_deg);
    ASSERT_TRUE(back.has_value());
    EXPECT_NEAR(base::distance_m(*back, points[i]), 0.0, 1e-4);
  }
  EXPECT_FALSE(reader.shift_unknown());
}

TEST(Coordinates, TheCentralMeridianIsAtFiveHundredThousandMetres) {
  const auto degrees = longitudes_latitudes({{500000.0, 0.0}}, utm12());
  EXPECT_NEAR(degrees[0]->longitude_deg, -111.0, 1e-9);
  EXPECT_NEAR(degrees[0]->latitude_deg, 0.0, 1e-9);
}

TEST(Coordinates, FeetOfTheGridBecomeMetres) {
  const Projection feet = read_projection("EPSG:2223", {});  // Arizona East, ft
  const PlaceReader own("", feet, {});
  EXPECT_NEAR(own.point(1000.0, 2000.0)->x_m, 304.8, 1e-9);
  const auto degrees = longitudes_latitudes({{200000.0, 300000.0}}, feet);
  ASSERT_TRUE(degrees[0].has_value());
  const auto back =
      PlaceReader("EPSG:4326", feet, {}).point(degrees[0]->longitude_deg, degrees[0]->latitude_deg);
  EXPECT_NEAR(back->x_m, 200000.0, 1e-3);
  EXPECT_NEAR(back->y_m, 300000.0, 1e-3);
}

TEST(Coordinates, WhatIsNoPlaceIsAbsentAndWhatIsNoSystemAnError) {
  EXPECT_THROW(PlaceReader("EPSG:nowhere", utm12(), {}), base::InputError);
  EXPECT_FALSE(PlaceReader("EPSG:4326", utm12(), {}).point(-111.0, 500.0).has_value());
}

}  // namespace
}  // namespace curbshed::geodata
