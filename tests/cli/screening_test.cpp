// The sample quarter's places against the rules: what was planted bad is over its limit, what was planted
// good is not.
#include "curbshed/cli/gather_inputs.hpp"
#include "curbshed/siting/measures.hpp"
#include "curbshed/study/storms.hpp"

#include "support/csv_rows.hpp"
#include "support/temp_folder.hpp"

#include <algorithm>
#include <map>
#include <string>

#include <gtest/gtest.h>

namespace curbshed::cli {
namespace {

using siting::Outcome;
using siting::RuleId;
using study::ThingKind;

const std::string kFolder = std::string(CURBSHED_SOURCE_DIR) + "/sample-rasters/quarter/";

/// What was planted, and the rule that must find it.
const std::map<std::string, RuleId>& planted_rules() {
  static const std::map<std::string, RuleId> rules = {
      {"no strip: the walk lies at the curb", RuleId::Shelf},
      {"on the high side of a street that falls to one side", RuleId::CrossSlopeLeast},
      {"over a buried line (gas)", RuleId::BuriedGas},
      {"over a buried line (telecom)", RuleId::BuriedTelecom},
      {"over a buried line (water service)", RuleId::BuriedWater},
      {"beside a hydrant", RuleId::HydrantBasin},
      {"beside a pole", RuleId::PoleBasin},
      {"beside a tree", RuleId::ExistingTree},
      {"the lots fall away behind the curb", RuleId::Freeboard},
      {"no water", RuleId::CatchmentLeast}};
  return rules;
}

class QuarterScreening : public ::testing::Test {
 protected:
  static void SetUpTestSuite() {
    settings_ = study::read_study(kFolder + "study.toml");
    inputs_ = gather_inputs(settings_, {}).inputs;
    made_ = study::prepare(inputs_, settings_, {});
    for (const study::Storm& storm : study::storms_of(settings_)) {
      storms_.push_back(study::compare_storm(made_.model, storm, true));
    }
    const study::FullWater water = study::full_water(made_.model, study::storms_of(settings_));
    const siting::FullLevels full = siting::full_levels({&settings_, &inputs_, &made_, &water});
    found_ = siting::screen_cuts({&settings_, &inputs_, &made_, &storms_, &siting::default_rules(), &full});
  }
  static void TearDownTestSuite() {
    made_ = {};
    inputs_ = {};
    storms_.clear();
  }
  static std::size_t site(const std::string& id) {
    for (std::size_t i = 0; i < found_.nodes.size(); ++i) {
      if (made_.model.network.id[static_cast<std::size_t>(found_.nodes[i])] == id) return i;
    }
    ADD_FAILURE() << id;
    return 0;
  }
  static Outcome outcome(std::size_t i, RuleId id) {
    return found_.verdicts[i].of_rule[static_cast<std::size_t>(id)];
  }

  static study::Settings settings_;
  static study::StudyInputs inputs_;
  static study::Preparation made_;
  static std::vector<study::StormComparison> storms_;
  static siting::Screening found_;
};
study::Settings QuarterScreening::settings_;
study::StudyInputs QuarterScreening::inputs_;
study::Preparation QuarterScreening::made_;
std::vector<study::StormComparison> QuarterScreening::storms_;
siting::Screening QuarterScreening::found_;

TEST_F(QuarterScreening, EveryPlantedBadSiteIsOverItsPlantedLimitAndEveryGoodOneIsNot) {
  const std::vector<curbshed::testing::CsvRow> truth =
      curbshed::testing::csv_rows(curbshed::testing::read_text(kFolder + "truth.csv"));
  std::map<std::string, int> bad;
  int good = 0;
  for (const curbshed::testing::CsvRow& row : truth) {
    const std::string& id = row.at("id");
    const std::string& reason = row.at("reason");
    const std::size_t i = site(id);
    if (!reason.empty()) {
      ++bad[reason];
      ASSERT_EQ(planted_rules().count(reason), 1U) << reason;
      const RuleId rule = planted_rules().at(reason);
      const siting::Measured& m = found_.measures[i][static_cast<std::size_t>(rule)];
      EXPECT_EQ(outcome(i, rule), Outcome::OverLimit)
          << id << ": " << reason << ", measured " << m.value.value_or(-999.0) << " ± " << m.doubt;
      EXPECT_EQ(found_.verdicts[i].basin, Outcome::OverLimit) << id;
    } else {
      ++good;
    }
    for (const auto& [planted, planted_rule] : planted_rules()) {
      if (!reason.empty()) continue;
      // Good was said without looking at the water: where the street itself runs over in a large storm the
      // freeboard is over all the same. The ground behind the curb does not fall away.
      const RuleId rule = planted_rule == RuleId::Freeboard ? RuleId::Rim : planted_rule;
      const siting::Measured& m = found_.measures[i][static_cast<std::size_t>(rule)];
      EXPECT_NE(outcome(i, rule), Outcome::OverLimit)
          << id << " is good, but " << siting::rule_kind(rule).key << " measured " << m.value.value_or(-999.0)
          << " ± " << m.doubt << " from " << m.from;
    }
  }
  EXPECT_EQ(bad.size(), planted_rules().size()) << "each kind of bad site is there";
  EXPECT_GE(good, 50);
}

TEST_F(QuarterScreening, WhatWasGivenIsKnownAndTheRestIsNot) {
  const study::Surroundings& around = inputs_.surroundings;
  std::map<ThingKind, int> count;
  for (const study::Thing& thing : around.things) ++count[thing.kind];
  EXPECT_EQ(count[ThingKind::Hydrant], 38);
  EXPECT_EQ(count[ThingKind::Pole], 102);
  EXPECT_EQ(count[ThingKind::Tree], 304);
  EXPECT_EQ(count[ThingKind::Building], 354);
  EXPECT_EQ(count[ThingKind::Lot], 371);
  EXPECT_GT(count[ThingKind::Walk], 0);
  EXPECT_EQ(count[ThingKind::BuriedWater] + count[ThingKind::BuriedGas] + count[ThingKind::BuriedSewer] +
                count[ThingKind::BuriedTelecom],
            443);
  for (const ThingKind kind : {ThingKind::Hydrant, ThingKind::Pole, ThingKind::Tree, ThingKind::Building,
                               ThingKind::Lot, ThingKind::Walk, ThingKind::BuriedGas}) {
    EXPECT_TRUE(around.knows(kind)) << study::word_of(kind);
  }
  for (const ThingKind kind : {ThingKind::BuriedPower, ThingKind::Meter, ThingKind::Ramp, ThingKind::Well}) {
    EXPECT_FALSE(around.knows(kind)) << study::word_of(kind);
  }
}

TEST_F(QuarterScreening, NoSiteIsWithinWhileLayersOnSafetyAreMissing) {
  EXPECT_EQ(found_.basins[static_cast<std::size_t>(Outcome::Within)], 0);
  EXPECT_EQ(found_.basins[static_cast<std::size_t>(Outcome::NoData)], 0);
}

}  // namespace
}  // namespace curbshed::cli
