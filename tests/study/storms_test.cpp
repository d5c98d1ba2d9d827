#include "curbshed/study/storms.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>
#include <numeric>

#include <gtest/gtest.h>

namespace curbshed::study {
namespace {

Settings plain() {
  Settings settings;
  settings.file = "study.toml";
  settings.rain.two_year_1h_m = 0.022;
  settings.rain.ten_year_1h_m = 0.036;
  return settings;
}

TEST(Storms, DefaultsComeFirstWithTheirWholeDepth) {
  const std::vector<Storm> storms = storms_of(plain());
  ASSERT_EQ(storms.size(), 3U);
  EXPECT_EQ(storms[0].id, "common");
  EXPECT_EQ(storms[1].title, "2-year hour: 22 mm in 1 h");
  const double depths_m[] = {0.010, 0.022, 0.036};
  for (std::size_t i = 0; i < 3; ++i) {
    EXPECT_NEAR(std::accumulate(storms[i].rain_m.begin(), storms[i].rain_m.end(), 0.0), depths_m[i], 1e-12);
    EXPECT_EQ(storms[i].rain_m.size(), 4U * 3600U / 5U);
    const auto peak = std::max_element(storms[i].rain_m.begin(), storms[i].rain_m.end());
    EXPECT_NEAR(static_cast<double>(peak - storms[i].rain_m.begin()) * 5.0, 1800.0, 300.0);
  }
}

TEST(Storms, FurtherStormsFollowTheirShape) {
  Settings settings = plain();
  settings.rain.storms.push_back({"monsoon", "", 0.03, 2700.0, {1.0, 3.0, 2.0}});
  const Storm storm = storms_of(settings).back();
  EXPECT_EQ(storm.title, "30 mm in 45 min");
  const auto third = [&](std::size_t i) {
    const auto begin = storm.rain_m.begin() + static_cast<std::ptrdiff_t>(i * 180);
    return std::accumulate(begin, begin + 180, 0.0);
  };
  EXPECT_NEAR(third(0), 0.005, 1e-12);
  EXPECT_NEAR(third(1), 0.015, 1e-12);
  EXPECT_NEAR(third(2), 0.010, 1e-12);
}

TEST(Storms, DurationThatIsNoWholeNumberOfBlocksIsNamed) {
  Settings settings = plain();
  settings.rain.storms.push_back({"odd", "", 0.03, 1000.0, {}});
  try {
    storms_of(settings);
    FAIL();
  } catch (const base::InputError& error) {
    EXPECT_EQ(error.where().file, "study.toml");
    EXPECT_EQ(error.where().feature, "storm odd");
  }
}

}  // namespace
}  // namespace curbshed::study
