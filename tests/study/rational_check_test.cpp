#include "curbshed/study/rational_check.hpp"

#include "curbshed/study/storms.hpp"

#include "support/chain_worlds.hpp"
#include "support/study_block.hpp"

#include <cmath>

#include <gtest/gtest.h>

namespace curbshed::study {
namespace {

using namespace curbshed::testing;

/// An hour of even rain.
Storm even_storm(double depth_m, double hours = 1.0) {
  Storm storm;
  storm.id = "even";
  storm.step_s = 5.0;
  const auto wet = static_cast<std::size_t>(hours * 720.0);
  storm.rain_m.assign(720 * 5, 0.0);
  std::fill(storm.rain_m.begin(), storm.rain_m.begin() + static_cast<std::ptrdiff_t>(wet),
            depth_m / static_cast<double>(wet));
  return storm;
}

DrawnBlock street_to_an_outfall() {
  DrawnBlock block = draw_block({});
  block.outfall("end", 70.0, 5.0);
  block.cut("a", 20.25, 5.2);
  return block;
}

std::size_t node(const ChainModel& model, const std::string& id) {
  return static_cast<std::size_t>(node_of(model.network, id));
}

TEST(RationalCheck, OnAnEvenStormThePeakIsTheFormulas) {
  StudyInputs paved = inputs_of(street_to_an_outfall());
  for (std::int64_t cell = 0; cell < paved.loss_class.cells(); ++cell) paved.loss_class[cell] = 0;
  const Preparation p = prepare(paved, usual_settings(), {});
  const std::size_t end = node(p.model, "end");
  const Storm storm = even_storm(0.030);
  const StormComparison run = compare_storm(p.model, storm, false);
  const RationalPeak& peak = run.rational[end];
  // Half the street from −80 m on, and 20 m of lot: 150 m × 25 m.
  EXPECT_NEAR(peak.area_m2, 150.0 * 25.0, 250.0);
  EXPECT_GT(peak.concentration_s, 60.0);
  EXPECT_LT(peak.concentration_s, 1200.0);
  EXPECT_NEAR(peak.intensity_m_s, 0.030 / 3600.0, 1e-9);
  EXPECT_NEAR(peak.coefficient, run.base.nodes[end].passed_on_m3 / (0.030 * peak.area_m2), 0.01);
  EXPECT_NEAR(peak.ratio, run.base.nodes[end].peak_leaving_m3_s / peak.peak_m3_s(), 1e-12);
  EXPECT_GT(peak.ratio, 0.9);
  EXPECT_LT(peak.ratio, kMostPeakRatio);
  EXPECT_EQ(peak.reason, PeakReason::None);
  EXPECT_EQ(run.rational[node(p.model, "a")].area_m2, 0.0) << "only outfalls are asked";
  EXPECT_FALSE(run.base.notes.has(base::NoteId::PeakOffRational));
}

// A yard of CN 88 loses most of its first rain: at the end of an even hour far more of the rain runs off than
// in the mean of that hour.
TEST(RationalCheck, WhereTheGroundTakesItsLossesFirstItSaysSo) {
  const Preparation p = prepare(inputs_of(street_to_an_outfall()), usual_settings(), {});
  const RationalPeak peak = compare_storm(p.model, even_storm(0.030), false).rational[node(p.model, "end")];
  EXPECT_GT(peak.ratio, kMostPeakRatio);
  EXPECT_EQ(peak.reason, PeakReason::LossesFirst);
}

TEST(RationalCheck, PeaksOfTheDefaultStormsLieWithinTheBounds) {
  const Settings settings = usual_settings();
  const Preparation p = prepare(inputs_of(street_to_an_outfall()), settings, {});
  for (const Storm& storm : storms_of(settings)) {
    const RationalPeak peak = compare_storm(p.model, storm, false).rational[node(p.model, "end")];
    EXPECT_GE(peak.ratio, kLeastPeakRatio) << storm.id;
    EXPECT_LE(peak.ratio, kMostPeakRatio) << storm.id;
  }
}

TEST(RationalCheck, WhereInletsTakeTheWaterItSaysSo) {
  DrawnBlock block = street_to_an_outfall();
  for (const double x : {0.0, 10.0, 30.0, 40.0, 50.0, 60.0})
    block.inlet("D" + std::to_string(static_cast<int>(x)), x, 5.1);
  const Preparation p = prepare(inputs_of(block), usual_settings(), {});
  const StormComparison run = compare_storm(p.model, even_storm(0.010), false);
  const RationalPeak& peak = run.rational[node(p.model, "end")];
  EXPECT_LT(peak.ratio, kLeastPeakRatio);
  EXPECT_EQ(peak.reason, PeakReason::IntoInlets);
  ASSERT_TRUE(run.base.notes.has(base::NoteId::PeakOffRational));
  EXPECT_EQ(run.base.notes.at(base::NoteId::PeakOffRational).first_feature,
            "end: drain inlets above take much of it");
}

TEST(RationalCheck, WhereWaterLeavesOverTheCurbItSaysSo) {
  ChainBuilder world({NodeKind::Cut, NodeKind::Outfall});
  world.model.loss_classes[kPavement].curve_number = 100.0;
  world.patch({0, kPavement, 1000, 0, 0});
  ChainModel model = world.build();
  Storm storm;
  storm.step_s = 5.0;
  storm.rain_m.assign(720, 0.05 / 1000.0 * storm.step_s);  // 50 L/s
  model.network.side_ways.push_back(way(0, -1, 0.03));
  const RationalPeak peak = compare_storm(model, storm, false).rational[1];
  EXPECT_LT(peak.ratio, kLeastPeakRatio);
  EXPECT_EQ(peak.reason, PeakReason::OverSideWays);
}

TEST(RationalCheck, EveryReasonHasWords) {
  for (int r = 1; r <= static_cast<int>(PeakReason::Spread); ++r)
    EXPECT_FALSE(reason_words(static_cast<PeakReason>(r)).empty()) << r;
  EXPECT_TRUE(reason_words(PeakReason::None).empty());
}

}  // namespace
}  // namespace curbshed::study
