#include "curbshed/cli/drain_inlets.hpp"

#include "curbshed/cli/gather_inputs.hpp"

#include "support/program.hpp"
#include "support/small_study.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace curbshed::cli {
namespace {

using testing::SmallStudy;
using testing::TempFolder;

std::string place(double east_m, double north_m) {
  return fmt::format("{},{}", SmallStudy::kWest_m + east_m, SmallStudy::kMiddle_m + north_m);
}

void write(const TempFolder& folder, const std::string& inlets, const std::string& ratings,
           const std::string& outlets) {
  SmallStudy::write(folder);
  folder.write("inlets.csv", inlets);
  std::string keys = "[street.inlets]\nfile = \"inlets.csv\"\nclasses = { \"combination\" = \"grate\" }\n";
  if (!ratings.empty()) {
    folder.write("ratings.csv", ratings);
    keys += "[street.inlet_ratings]\nfile = \"ratings.csv\"\n";
  }
  if (!outlets.empty()) {
    folder.write("outlets.csv", outlets);
    keys += "[street.pipe_outlets]\nfile = \"outlets.csv\"\n";
  }
  folder.write("study.toml", SmallStudy::study() + keys);
}

GatheredInputs gather(const TempFolder& folder) {
  return gather_inputs(study::read_study(folder.file("study.toml")), {});
}

const study::InletInput& inlet(const GatheredInputs& gathered, const std::string& id) {
  for (std::size_t i = 0; i < gathered.inputs.sites.size(); ++i) {
    if (gathered.inputs.sites[i].id == id) return gathered.inputs.overrides[i].inlet;
  }
  throw std::runtime_error("no such inlet");
}

TEST(DrainInlets, BringKindRatingAndOutlet) {
  const TempFolder folder;
  write(folder,
        "id,x,y,kind,width,rating,outlet\nD1," + place(5, -4) + ",grate,45 cm,,\nD2," + place(8, -4) +
            ",combination,,type B,\nD3," + place(11, -4) + ",,,type A,P1\n",
        "rating,depth,flow,captured\ntype B,10 cm,,30 L/s\ntype B,5 cm,,10 L/s\ntype A,,20 L/s,15 L/s\n",
        "id,x,y\nP1," + place(20, -4) + "\n");
  const GatheredInputs gathered = gather(folder);
  EXPECT_TRUE(gathered.set_aside.empty());
  ASSERT_EQ(gathered.inputs.ratings.size(), 2U);
  EXPECT_FALSE(gathered.inputs.ratings[0].by_depth);
  ASSERT_EQ(gathered.inputs.ratings[1].pairs.size(), 2U);
  EXPECT_NEAR(gathered.inputs.ratings[1].pairs[0].at, 0.05, 1e-12);
  EXPECT_NEAR(gathered.inputs.ratings[1].pairs[1].captured_m3_s, 0.03, 1e-12);
  EXPECT_EQ(inlet(gathered, "D1").kind, water::InletKind::Grate);
  EXPECT_NEAR(inlet(gathered, "D1").width_m.value(), 0.45, 1e-12);
  EXPECT_EQ(inlet(gathered, "D2").kind, water::InletKind::Grate);
  EXPECT_EQ(inlet(gathered, "D2").rating, 1);
  EXPECT_EQ(inlet(gathered, "D3").rating, 0);
  EXPECT_NEAR(inlet(gathered, "D3").outlet_at.value().x_m, SmallStudy::kWest_m + 20, 1e-6);
}

TEST(DrainInlets, ThatNameWhatIsNotThereAreSetAside) {
  const TempFolder folder;
  std::string rows = "id,x,y,kind,rating,outlet\n";
  for (int i = 0; i < 60; ++i) rows += fmt::format("D{},{},,,\n", i, place(3.0 + 0.4 * i, -4));
  write(folder,
        rows + "E1," + place(5, -4) + ",manhole,,\nE2," + place(5, -4) + ",,type C,\nE3," + place(5, -4) +
            ",,,P9\n",
        "", "id,x,y\nP1," + place(15, -4) + "\n");
  const GatheredInputs gathered = gather(folder);
  ASSERT_EQ(gathered.set_aside.size(), 3U);
  EXPECT_EQ(gathered.set_aside[0].reason, "the kind \"manhole\" is not one of ours and not in `classes`");
  EXPECT_EQ(gathered.set_aside[1].reason, "there is no table \"type C\" in [street.inlet_ratings]");
  EXPECT_EQ(gathered.set_aside[2].reason, "there is no place \"P9\" in [street.pipe_outlets]");
}

TEST(DrainInlets, OutletsWithoutALayerOfThemAreNotLookedAt) {
  const TempFolder folder;
  write(folder, "id,x,y,outlet\nD1," + place(5, -4) + ",P9\n", "", "");
  const GatheredInputs gathered = gather(folder);
  EXPECT_TRUE(gathered.set_aside.empty());
  EXPECT_FALSE(inlet(gathered, "D1").outlet_at.has_value());
}

TEST(DrainInlets, GoThroughTheWholeProgram) {
  const TempFolder folder;
  write(folder, "id,x,y,kind,rating,outlet\nD1," + place(8, 4) + ",,type A,P1\n",
        "rating,flow,captured\ntype A,100 L/s,80 L/s\n", "id,x,y\nP1," + place(15, 4) + "\n");
  const testing::Ran ran = testing::run_program(folder, "run study.toml --out out");
  ASSERT_EQ(ran.exit_code, 0) << ran.err;
  const nlohmann::json summary = nlohmann::json::parse(testing::read_text(folder.file("out/summary.json")));
  const nlohmann::json& d1 = summary["inlets"][0];
  EXPECT_EQ(d1["kind"], "curb_opening");
  EXPECT_EQ(d1["rating"], "type A");
  EXPECT_EQ(d1["outlet"], "P1");
  EXPECT_EQ(d1["outlet_leads_to"], "cut K2");
  EXPECT_GT(d1["storms"]["common"]["taken_m3"].get<double>(), 0.0);
  const nlohmann::json manifest = nlohmann::json::parse(testing::read_text(folder.file("out/manifest.json")));
  EXPECT_EQ(manifest["ledgers"]["common"]["base"]["into_inlets_m3"], 0.0);
}

}  // namespace
}  // namespace curbshed::cli
