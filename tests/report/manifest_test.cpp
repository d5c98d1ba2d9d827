#include "curbshed/report/manifest.hpp"

#include "support/small_facts.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace curbshed::report {
namespace {

using testing::SmallFacts;

TEST(Manifest, NamesNoUserAndNoFolderOutsideTheStudy) {
  const SmallFacts run;
  const std::string text = manifest_json(run.facts, {{"cuts.csv", std::string(64, 'b')}});
  EXPECT_EQ(text.find("someone"), std::string::npos);
  EXPECT_EQ(text.find("/home"), std::string::npos);
  EXPECT_EQ(nlohmann::json::parse(text)["settings"]["ground.elevation"]["value"], "elevation.tif");
}

TEST(Manifest, TellsInputsSettingsLedgersAndOutputs) {
  const SmallFacts run;
  const nlohmann::json json =
      nlohmann::json::parse(manifest_json(run.facts, {{"cuts.csv", std::string(64, 'b')}}));
  EXPECT_EQ(json["program"], "curbshed");
  EXPECT_EQ(json["study"], "study.toml");
  EXPECT_EQ(json["inputs"][0]["sha256"], std::string(64, 'a'));
  EXPECT_EQ(json["settings"]["basin.opening"]["value"], "18 in");
  EXPECT_EQ(json["settings"]["basin.opening"]["origin"], "default");
  EXPECT_DOUBLE_EQ(json["ledgers"]["common"]["with_cuts"]["rain_on_cells_m3"], 8.0);
  EXPECT_DOUBLE_EQ(json["ledgers"]["common"]["with_cuts"]["gap_m3"], 0.0);
  EXPECT_EQ(json["outputs"]["cuts.csv"], std::string(64, 'b'));
}

TEST(Manifest, EveryTermOfTheLedgerIsThere) {
  const SmallFacts run;
  const nlohmann::json json = nlohmann::json::parse(manifest_json(run.facts, {}));
  for (const base::LedgerTerm& term : base::ledger_terms()) {
    EXPECT_TRUE(json["ledgers"]["common"]["base"].contains(std::string(term.key))) << term.key;
  }
}

TEST(Manifest, ThreadsAndTimesStandInTheRunLogOnly) {
  const SmallFacts run;
  EXPECT_EQ(manifest_json(run.facts, {}).find("threads"), std::string::npos);
  const nlohmann::json log = nlohmann::json::parse(run_log_json({2, "flag", {{"reading", 0.5}}, 66.0}));
  EXPECT_EQ(log["threads"], 2);
  EXPECT_EQ(log["threads_origin"], "flag");
  EXPECT_DOUBLE_EQ(log["stages_s"]["reading"], 0.5);
}

}  // namespace
}  // namespace curbshed::report
