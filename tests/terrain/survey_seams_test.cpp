#include "curbshed/terrain/survey_seams.hpp"

#include "support/noise.hpp"

#include <cmath>

#include <gtest/gtest.h>

namespace curbshed::terrain {
namespace {

using testing::ground_by;

double hills(base::Point p) {
  return 100.0 - 0.01 * p.x_m + 0.6 * std::sin(p.x_m / 37.0) * std::cos(p.y_m / 29.0);
}

TEST(SurveySeams, AreFoundAlongRowsAndColumnsUnderNoise) {
  for (const double cell_m : {0.5, 1.0}) {
    const auto cells = static_cast<std::int64_t>(400.0 / cell_m);
    Ground ground = ground_by(cells, cells, cell_m, [](base::Point p) {
      return hills(p) + (p.y_m > 50.0 ? 0.12 : 0.0) + (p.x_m > -80.0 ? 0.10 : 0.0);
    });
    testing::add_shared_noise(ground, 0.03, 5.0, 11);
    const std::vector<SurveySeam> seams = survey_seams(ground, {}, 0.06);
    ASSERT_EQ(seams.size(), 2U) << cell_m;
    EXPECT_NEAR(seams[0].from.y_m, 50.0, 1.0);
    EXPECT_NEAR(seams[0].to.y_m, 50.0, 1.0);
    EXPECT_LT(seams[0].from.x_m, seams[0].to.x_m);
    EXPECT_NEAR(seams[0].step_m, 0.12, 0.02);
    EXPECT_NEAR(seams[0].length_m, 400.0, 26.0);
    EXPECT_NEAR(seams[1].from.x_m, -80.0, 1.0);
    EXPECT_LT(seams[1].from.y_m, seams[1].to.y_m);
    EXPECT_NEAR(seams[1].step_m, -0.10, 0.02);  // higher to the east, which is right of north
  }
}

TEST(SurveySeams, MayLieAFewDegreesOffTheRows) {
  Ground ground = ground_by(
      400, 400, 1.0, [](base::Point p) { return hills(p) + (p.y_m > 10.0 + 0.05 * p.x_m ? 0.15 : 0.0); });
  testing::add_shared_noise(ground, 0.02, 5.0, 3);
  const std::vector<SurveySeam> seams = survey_seams(ground, {}, 0.06);
  ASSERT_EQ(seams.size(), 1U);
  EXPECT_NEAR((seams[0].to.y_m - seams[0].from.y_m) / (seams[0].to.x_m - seams[0].from.x_m), 0.05, 0.01);
}

TEST(SurveySeams, SlopesNoiseShortWallsAndIgnoredCurbsAreNone) {
  Ground ground = ground_by(400, 400, 1.0, [](base::Point p) {
    const bool pad = std::abs(p.x_m) < 40.0 && std::abs(p.y_m) < 40.0;  // 80 m: a building's pad
    return hills(p) + (pad ? 0.5 : 0.0);
  });
  testing::add_shared_noise(ground, 0.03, 5.0, 5);
  EXPECT_TRUE(survey_seams(ground, {}, 0.06).empty());
  // A curb along a row, the whole way: only what is known to be one is left out.
  ground = ground_by(300, 300, 1.0, [](base::Point p) { return p.y_m > 5.0 ? 0.15 : 0.0; });
  EXPECT_EQ(survey_seams(ground, {}, 0.06).size(), 1U);
  Grid<std::uint8_t> ignore(300, 300, 0);
  for (std::int64_t c = 0; c < 300; ++c) {
    for (std::int64_t r = 143; r < 147; ++r) ignore.at(r, c) = 1;
  }
  EXPECT_TRUE(survey_seams(ground, ignore, 0.06).empty());
  EXPECT_TRUE(survey_seams(testing::level_ground(2, 2, 1.0), {}, 0.06).empty());
}

}  // namespace
}  // namespace curbshed::terrain
