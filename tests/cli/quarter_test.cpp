// The sample quarter against what was planted in it (truth*.csv, drawn and traced by
// scripts/make_quarter.py).
#include "curbshed/cli/gather_inputs.hpp"
#include "curbshed/report/facts.hpp"
#include "curbshed/study/preparation.hpp"
#include "curbshed/study/settings.hpp"
#include "curbshed/study/storm.hpp"
#include "curbshed/study/storms.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <fstream>
#include <map>
#include <set>
#include <sstream>
#include <string>

#include <gtest/gtest.h>

namespace curbshed::cli {
namespace {

const std::string kFolder = std::string(CURBSHED_SOURCE_DIR) + "/sample-rasters/quarter/";

using Row = std::map<std::string, std::string>;

/// Rows of a CSV file without quotes, by column name.
std::vector<Row> rows_of(const std::string& file) {
  std::ifstream in(kFolder + file, std::ios::binary);
  std::vector<std::string> names;
  std::vector<Row> rows;
  for (std::string text; std::getline(in, text);) {
    if (!text.empty() && text.back() == '\r') text.pop_back();
    std::vector<std::string> cells;
    std::stringstream line(text + ",");
    for (std::string cell; std::getline(line, cell, ',');) cells.push_back(cell);
    if (names.empty()) {
      names = cells;
      continue;
    }
    EXPECT_EQ(cells.size(), names.size()) << file << ": " << text;
    Row row;
    for (std::size_t i = 0; i < std::min(names.size(), cells.size()); ++i) row[names[i]] = cells[i];
    rows.push_back(row);
  }
  return rows;
}

double number(const Row& row, const std::string& name) { return std::stod(row.at(name)); }

class Quarter : public ::testing::Test {
 protected:
  static void SetUpTestSuite() {
    settings_ = study::read_study(kFolder + "study.toml");
    inputs_ = gather_inputs(settings_, {}).inputs;
    made_ = study::prepare(inputs_, settings_, {});
    truth_ = rows_of("truth.csv");
    ASSERT_GE(truth_.size(), 60U);
    ASSERT_LE(truth_.size(), 80U);
  }
  static const street::Network& net() { return made_.model.network; }
  static std::size_t node(const std::string& id) {
    const auto found = std::find(net().id.begin(), net().id.end(), id);
    EXPECT_NE(found, net().id.end()) << id;
    return static_cast<std::size_t>(found - net().id.begin());
  }

  static study::Settings settings_;
  static study::StudyInputs inputs_;
  static study::Preparation made_;
  static std::vector<Row> truth_;
};
study::Settings Quarter::settings_;
study::StudyInputs Quarter::inputs_;
study::Preparation Quarter::made_;
std::vector<Row> Quarter::truth_;

TEST_F(Quarter, NothingIsSetAsideAndEveryCellHasOneReceiver) {
  std::int64_t counted = 0;
  for (const std::int64_t cells : street::cells_of_nodes(made_.model.contribution)) counted += cells;
  EXPECT_EQ(counted, inputs_.ground.frame.cells());
  EXPECT_EQ(counted, 1920000);
}

TEST_F(Quarter, GoodCutsGetTheAreaThatWasDrawn) {
  // Small areas move by the noise of their divides: in twelve other draws of it those under 2000 m2 lay 6 to
  // 17 % off (root mean square), these two 12 and 16 %; on the ground without noise 1 and 12 %. The 12 %:
  // where Adobe Lane turns into Ridge Street the gutter falls 5 cm in 20 m, so that the divide in it lies 8 m
  // from the tracer's.
  const std::map<std::string, double> farther = {{"adobe-e-4", 0.17}, {"adobe-w-3", 0.18}};
  const std::vector<double> areas = report::areas_arriving_m2(made_.model);
  int good = 0;
  int near = 0;
  double worst = 0.0;
  for (const Row& row : truth_) {
    if (row.at("good") != "yes") continue;
    const std::string& id = row.at("id");
    const double off = areas[node(id)] / number(row, "area_m2") - 1.0;
    ++good;
    near += std::fabs(off) <= 0.15 ? 1 : 0;
    worst = std::max(worst, std::fabs(off));
    const auto known = farther.find(id);
    EXPECT_LE(std::fabs(off), known == farther.end() ? 0.15 : known->second) << id;
  }
  RecordProperty("good", good);
  RecordProperty("within_15_percent", near);
  EXPECT_GE(good, 50);
  EXPECT_GE(near * 100, good * 90);
  EXPECT_LT(worst, 0.20);
}

TEST_F(Quarter, GradesAndCrossSlopesLieWithinTwiceTheirError) {
  int grades = 0;
  int grades_within = 0;
  int slopes = 0;
  int slopes_within = 0;
  for (const Row& row : truth_) {
    const std::size_t n = node(row.at("id"));
    if (net().grade_error[n] > 0.0 && row.at("in_a_sag") == "no") {
      EXPECT_LT(net().grade_error[n], 0.0025) << row.at("id");
      ++grades;
      const double off = std::fabs(net().grade[n] - number(row, "grade_30m_percent") / 100.0);
      grades_within += off <= 2.0 * net().grade_error[n] ? 1 : 0;
    }
    if (net().cross_slope_error[n] > 0.0) {
      ++slopes;
      const double off = std::fabs(net().cross_slope[n] - number(row, "cross_slope_percent") / 100.0);
      slopes_within += off <= 2.0 * net().cross_slope_error[n] ? 1 : 0;
    }
  }
  EXPECT_GE(grades, 75);
  EXPECT_GE(slopes, 75);
  // Twelve other draws of the same 3 cm of error: 95 % and 96 % over all, the fewest 91 % and 92 %.
  EXPECT_GE(grades_within * 100, grades * 90) << grades_within << " of " << grades;
  EXPECT_GE(slopes_within * 100, slopes * 90) << slopes_within << " of " << slopes;
}

TEST_F(Quarter, CurbHeightsAreThePlantedOnesAndGutterLevelsCarryOnlyTheNoise) {
  double sum = 0.0;
  double squares = 0.0;
  for (const Row& row : truth_) {
    const std::size_t n = node(row.at("id"));
    EXPECT_NEAR(net().curb_height_m[n], number(row, "curb_height_m"), 0.001) << row.at("id");
    const double off = net().gutter_level_m[n] - number(row, "gutter_level_m");
    sum += off;
    squares += off * off;
  }
  const double count = static_cast<double>(truth_.size());
  EXPECT_LT(std::fabs(sum / count), 0.01);      // no drift
  EXPECT_LT(std::sqrt(squares / count), 0.03);  // the error of the heights, 3 cm
}

TEST_F(Quarter, PlantedSagsAreFound) {
  for (const Row& row : rows_of("truth_sags.csv")) {
    const base::Point at{number(row, "x"), number(row, "y")};
    double nearest = 1e9;
    double depth = 0.0;
    for (std::size_t n = 0; n < net().size(); ++n) {
      if (net().kind[n] != street::NodeKind::Sag) continue;
      const double off = base::distance_m(net().at[n], at);
      if (off < nearest) {
        nearest = off;
        depth = net().sag_depth_m[n];
      }
    }
    EXPECT_LT(nearest, 15.0) << row.at("x");  // across the crown at most: both gutters are one pond
    // The deepest cell under the highest noise of the rim: three errors.
    EXPECT_NEAR(depth, number(row, "depth_m"), 3.0 * settings_.ground.elevation_error_m) << row.at("x");
  }
}

/// A straight street of the quarter: which way it runs, its middle, from where to where it is away from
/// corners.
struct Stretch {
  bool east_west;
  double middle_m, half_m, from_m, to_m;
};

TEST_F(Quarter, WaterKeepsToItsSideOfTheCrown) {
  std::vector<Stretch> stretches;
  const double west = 433000.0;
  const double south = 3705000.0;
  const std::array<double, 5> xs = {60.0, 230.0, 400.0, 570.0, 740.0};
  const std::array<double, 5> ys = {60.0, 180.0, 300.0, 420.0, 540.0};
  const std::array<double, 5> half_y = {6.0, 5.0, 5.0, 5.0, 4.5};
  const std::array<double, 5> half_x = {5.0, 5.0, 5.0, 4.5, 5.0};
  for (std::size_t j = 0; j < 5; ++j) {
    for (std::size_t c = 0; c < 4; ++c) {
      stretches.push_back({true, south + ys[j], half_y[j], west + xs[c] + 25.0, west + xs[c + 1] - 25.0});
      const bool closed = j == 2 && c == 2;  // no street there but a dead end
      const bool one_fall = j == 3 && c == 3;
      if (closed || one_fall) continue;
      stretches.push_back({false, west + xs[j], half_x[j], south + ys[c] + 25.0, south + ys[c + 1] - 25.0});
    }
  }
  const terrain::GridFrame& frame = inputs_.ground.frame;
  std::int64_t cells = 0;
  std::int64_t crossed = 0;
  std::int64_t outer_cells = 0;  // 2 m and more from the crown
  std::int64_t outer_crossed = 0;
  for (const Stretch& s : stretches) {
    for (double t = s.from_m; t < s.to_m; t += frame.cell_m) {
      for (double u = -s.half_m + 1.0; u <= s.half_m - 1.0; u += frame.cell_m) {
        const base::Point start =
            s.east_west ? base::Point{t, s.middle_m + u} : base::Point{s.middle_m + u, t};
        std::int64_t at = frame.cell_at(start);
        if (std::fabs(u) < frame.cell_m) continue;
        const bool outer = std::fabs(u) >= 2.0;
        ++cells;
        outer_cells += outer ? 1 : 0;
        for (int step = 0; step < 400; ++step) {
          const std::int64_t next = terrain::next_cell(made_.maps.street.directions, at);
          if (next < 0) break;
          at = next;
          const base::Point p = frame.centre(at / frame.cols, at % frame.cols);
          const double across = (s.east_west ? p.y_m : p.x_m) - s.middle_m;
          if (std::fabs(across) > s.half_m - 0.8) {
            const bool over = (across > 0.0) != (u > 0.0);
            crossed += over ? 1 : 0;
            outer_crossed += over && outer ? 1 : 0;
            break;
          }
        }
      }
    }
  }
  EXPECT_GT(cells, 100000);
  // Crowns of 1.5-3.5 %: within a metre of one the noise of 3 cm decides. 3.3 % of the pavement, and with the
  // lots behind it (six times as wide) half a percent of the area, change sides.
  EXPECT_LT(static_cast<double>(crossed) / static_cast<double>(cells), 0.04);
  EXPECT_LT(static_cast<double>(outer_crossed) / static_cast<double>(outer_cells), 0.01)
      << outer_crossed << " of " << outer_cells;
}

TEST_F(Quarter, OnlyTheLowSideOfMesquiteStreetSpillsOntoLots) {
  const study::StormComparison storm =
      study::compare_storm(made_.model, study::storms_of(settings_)[2], false);
  double low_side = 0.0;
  for (const Row& row : truth_) {
    const study::NodeResult& at = storm.with_cuts.nodes[node(row.at("id"))];
    if (row.at("id").rfind("mesquite-s-", 0) == 0) {
      low_side += at.to_lots_m3;
    } else {
      EXPECT_EQ(at.to_lots_m3, 0.0) << row.at("id");
    }
  }
  EXPECT_GT(low_side, 10.0);
}

TEST_F(Quarter, BadCutsAreOfEachPlantedKind) {
  std::set<std::string> kinds;
  for (const Row& row : truth_) {
    EXPECT_EQ(row.at("good") == "no", !row.at("reason").empty()) << row.at("id");
    kinds.insert(row.at("reason").substr(0, row.at("reason").find_first_of(":(")));
  }
  for (const char* kind :
       {"over a buried line ", "beside a hydrant", "beside a pole", "beside a tree", "no strip", "no water",
        "on the high side of a street that falls to one side", "the lots fall away behind the curb"}) {
    EXPECT_TRUE(kinds.count(kind) == 1) << kind;
  }
}

}  // namespace
}  // namespace curbshed::cli
