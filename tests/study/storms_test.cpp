#include "curbshed/study/storms.hpp"

#include "curbshed/base/error.hpp"

#include "support/temp_folder.hpp"

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

double sum(const Storm& storm) { return std::accumulate(storm.rain_m.begin(), storm.rain_m.end(), 0.0); }

TEST(Storms, DayLongStormsFollowTheShapeOfTheirType) {
  Settings settings = plain();
  settings.rain.storms.push_back({"day", "", 0.08, 3600.0, {}, "II"});
  const Storm storm = storms_of(settings).back();
  EXPECT_EQ(storm.title, "80 mm in 24 h");
  EXPECT_NEAR(sum(storm), 0.08, 1e-12);
  // Half an hour before noon, 38 % of the rain of type II: 0.663 − 0.283.
  const auto half_hour = [&](double hour) {
    const auto begin = storm.rain_m.begin() + static_cast<std::ptrdiff_t>(hour * 720.0);
    return std::accumulate(begin, begin + 360, 0.0);
  };
  EXPECT_NEAR(half_hour(11.5), 0.08 * 0.380, 1e-9);
}

TEST(Storms, TablesOfDepthsGiveAlternatingAndChicagoStorms) {
  const testing::TempFolder folder;
  folder.write("rain.csv", "duration_min,2yr_mm\n5,7\n15,14\n60,22\n");
  Settings settings = plain();
  settings.folder = folder.path();
  for (const char* kind : {"alternating", "chicago"}) {
    settings.rain.storms = {{"hour", "", 0.0, 3600.0, {}, kind, "rain.csv", "2yr", 0.5}};
    const Storm storm = storms_of(settings).back();
    EXPECT_EQ(storm.title, "22 mm in 1 h") << kind;
    EXPECT_NEAR(sum(storm), 0.022, 1e-12) << kind;
    double worst = 0.0;
    for (std::size_t i = 0; i + 180 <= storm.rain_m.size(); ++i) {
      const auto begin = storm.rain_m.begin() + static_cast<std::ptrdiff_t>(i);
      worst = std::max(worst, std::accumulate(begin, begin + 180, 0.0));
    }
    EXPECT_NEAR(worst, 0.014, 0.001) << kind << ": the worst quarter of an hour";
  }
  settings.rain.storms = {{"hour", "", 0.0, 7200.0, {}, "chicago", "rain.csv", "2yr", 0.5}};
  EXPECT_THROW(storms_of(settings), base::InputError) << "longer than the table";
}

}  // namespace
}  // namespace curbshed::study
