#include "curbshed/water/soils.hpp"

#include "curbshed/base/error.hpp"

#include <array>

#include <gtest/gtest.h>

namespace curbshed::water {
namespace {

using base::Length;
using base::Rate;

std::string group(double um_s, double impermeable_cm, double water_cm) {
  SoilDepths depths;
  if (impermeable_cm > 0.0) depths.impermeable = Length::centimetres(impermeable_cm);
  if (water_cm > 0.0) depths.water_table = Length::centimetres(water_cm);
  return soil_group_of(Rate::metres_per_second(um_s * 1e-6), depths).name();
}

// NEH 630, ch. 7 (January 2009), table 7-1: each row at both sides of each limit. 0 = deeper than 100 cm.
TEST(SoilGroup, NehTable7_1) {
  for (const double um_s : {0.1, 5.0, 50.0}) EXPECT_EQ(group(um_s, 40.0, 0.0), "D");
  struct Row {
    double impermeable_cm, water_cm;
    std::array<double, 3> limits;  // A, B, C
    std::array<const char*, 4> names;
  };
  const Row rows[] = {{70.0, 50.0, {40.0, 10.0, 1.0}, {"A/D", "B/D", "C/D", "D"}},
                      {70.0, 80.0, {40.0, 10.0, 1.0}, {"A", "B", "C", "D"}},
                      {0.0, 50.0, {10.0, 4.0, 0.4}, {"A/D", "B/D", "C/D", "D"}},
                      {0.0, 80.0, {40.0, 10.0, 1.0}, {"A", "B", "C", "D"}},
                      {0.0, 0.0, {10.0, 4.0, 0.4}, {"A", "B", "C", "D"}}};
  for (const Row& row : rows) {
    for (std::size_t g = 0; g < 3; ++g) {
      EXPECT_EQ(group(row.limits[g] * 1.001, row.impermeable_cm, row.water_cm), row.names[g]);
      EXPECT_EQ(group(row.limits[g] * 0.999, row.impermeable_cm, row.water_cm), row.names[g + 1]);
    }
  }
  // 10 um/s is 1.42 in/h.
  EXPECT_EQ(soil_group_of(Rate::inches_per_hour(1.43)).name(), "A");
  EXPECT_EQ(soil_group_of(Rate::inches_per_hour(1.41)).name(), "B");
  EXPECT_THROW(soil_group_of(Rate::inches_per_hour(-1.0)), base::InputError);
}

TEST(SoilTexture, DeficitIsWhatTheEffectivePoresStillHold) {
  const GreenAmptSoil soil = green_ampt_soil(soil_texture("silt_loam"), 0.30);
  EXPECT_NEAR(soil.deficit, 0.340, 0.0005);
  EXPECT_NEAR(soil.suction.in_millimetres(), 166.8, 1e-9);
  EXPECT_NEAR(soil.conductivity.in_millimetres_per_hour(), 6.5, 1e-12);
  EXPECT_EQ(green_ampt_soil(soil_texture("clay"), 1.0).deficit, 0.0);
  EXPECT_THROW(green_ampt_soil(soil_texture("clay"), 1.1), base::InputError);
  EXPECT_THROW(soil_texture("peat"), base::InputError);
  for (const SoilTexture& texture : soil_textures()) {
    EXPECT_LT(texture.effective_porosity, texture.porosity) << texture.name;
    EXPECT_EQ(soil_texture(texture.name).name, texture.name);
  }
}

}  // namespace
}  // namespace curbshed::water
