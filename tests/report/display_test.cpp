#include "curbshed/report/display.hpp"

#include <gtest/gtest.h>

namespace curbshed::report {
namespace {

TEST(Display, VolumesHaveAboutThreeFigures) {
  EXPECT_EQ(show_volume(0.42, Units::Metric), "420 L");
  EXPECT_EQ(show_volume(34.54, Units::Metric), "34.5 m3");
  EXPECT_EQ(show_volume(12345.6, Units::Metric), "12,350 m3");
  EXPECT_EQ(show_volume(34.5, Units::Us), "9,114 gal");
  EXPECT_EQ(show_volume(0.0, Units::Metric), "0 L");
}

TEST(Display, FlowsLengthsSharesAndRain) {
  EXPECT_EQ(show_flow(0.0523, Units::Metric), "52.3 L/s");
  EXPECT_EQ(show_flow(0.0523, Units::Us), "1.8 ft3/s");
  EXPECT_EQ(show_flow(0.0, Units::Us), "0 ft3/s");
  EXPECT_EQ(show_rain(0.022, Units::Metric), "22 mm");
  EXPECT_EQ(show_rain(0.022, Units::Us), "0.87 in");
  EXPECT_EQ(show_distance(18.9, Units::Us), "62 ft");
  EXPECT_EQ(show_depth(0.1524, Units::Us), "6.0 in");
  EXPECT_EQ(show_area(480.2, Units::Us), "5,169 ft2");
  EXPECT_EQ(show_share(0.414), "41 %");
  EXPECT_EQ(show_share(0.001), "under 1 %");
  EXPECT_EQ(show_share(0.0), "0 %");
  EXPECT_EQ(show_minute(11.6), "at minute 12");
}

TEST(Display, WidthCountsLettersNotBytes) {
  EXPECT_EQ(shown_width("m3 → L"), 6U);
  EXPECT_EQ(padded("→", 3), "→  ");
  EXPECT_EQ(padded("7", 3, true), "  7");
  EXPECT_EQ(padded("Kiln Street", 6), "Kiln …");
  EXPECT_EQ(padded("→→→→", 3), "→→…");
}

TEST(Display, LinesAreCutAtBlanks) {
  EXPECT_EQ(wrapped("one two three", 7), (std::vector<std::string>{"one two", "three"}));
  EXPECT_EQ(wrapped("unbreakable", 3), std::vector<std::string>{"unbreakable"});
  EXPECT_EQ(wrapped("on to kiln-street-north-17 now", 13),
            (std::vector<std::string>{"on to", "kiln-street-", "north-17 now"}));
  EXPECT_EQ(wrapped("", 10), std::vector<std::string>{""});
}

}  // namespace
}  // namespace curbshed::report
