#include "curbshed/cli/decisions.hpp"

#include <algorithm>

#include <gtest/gtest.h>

namespace curbshed::cli {
namespace {

bool any(const std::vector<std::string>& items, const std::string& words) {
  return std::any_of(items.begin(), items.end(),
                     [&](const std::string& item) { return item.find(words) != std::string::npos; });
}

GatheredInputs on_cells(double cell_m) {
  GatheredInputs gathered;
  gathered.inputs.ground.frame.cell_m = cell_m;
  return gathered;
}

TEST(Decisions, ElevationAndStreetsGiveAnOrderAndLittleMore) {
  study::Settings settings;
  settings.street.centrelines.file = "streets.gpkg";
  settings.origin["rain.two_year_1h"] = "assumed";
  settings.origin["rain.ten_year_1h"] = "study";
  const Decisions decisions = decisions_of(settings, on_cells(1.0));
  EXPECT_TRUE(any(decisions.can, "their order"));
  EXPECT_TRUE(any(decisions.can, "where it turns at a corner"));
  EXPECT_TRUE(any(decisions.cannot, "how many litres"));
  EXPECT_TRUE(any(decisions.cannot, "lower the peak"));
  EXPECT_TRUE(any(decisions.cannot, "the 2-year and 10-year hour of your place"));
  EXPECT_TRUE(any(decisions.cannot, "how long water stands"));
  EXPECT_TRUE(any(decisions.cannot, "permit"));
}

TEST(Decisions, EveryLayerLeavesOnlyWhatNoLayerSays) {
  study::Settings settings;
  settings.street.curbs.file = settings.street.inlets.file = settings.lots.surfaces.file = "a.gpkg";
  settings.origin["rain.two_year_1h"] = settings.origin["rain.ten_year_1h"] = "study";
  settings.basin.infiltration_origin = "measured";
  const Decisions decisions = decisions_of(settings, on_cells(0.5));
  EXPECT_EQ(decisions.can.size(), 9U);
  EXPECT_EQ(decisions.cannot.size(), 2U);
}

TEST(Decisions, CoarseCellsDoNotShowTheCrown) {
  study::Settings settings;
  EXPECT_TRUE(any(decisions_of(settings, on_cells(3.0)).cannot, "cells of 1 m or less"));
  EXPECT_FALSE(any(decisions_of(settings, on_cells(3.28083 * 0.3048)).cannot, "cells of 1 m or less"));
}

}  // namespace
}  // namespace curbshed::cli
