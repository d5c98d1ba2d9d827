// The sample quarter from what people have: its ground at 1 m, its centrelines, its buildings; against the
// whole of its data, and its curbs against those planted.
#include "curbshed/cli/gather_inputs.hpp"
#include "curbshed/study/settings.hpp"

#include "support/csv_rows.hpp"
#include "support/program.hpp"

#include <algorithm>
#include <cstdio>
#include <regex>
#include <set>

#include <gtest/gtest.h>

namespace curbshed::cli {
namespace {

using testing::CsvRow;
using testing::Ran;
using testing::read_text;
using testing::run_program;
using testing::TempFolder;

const std::string kQuarter = std::string(CURBSHED_SOURCE_DIR) + "/sample-rasters/quarter/";

using Rows = std::map<std::string, CsvRow>;

double number(const CsvRow& row, const std::string& column) { return std::stod(row.at(column)); }

/// One answer of the program about the quarter's cuts.
struct Answer {
  Rows cuts;
  Rows basins;
  Rows inlets;
};
Answer answer_in(const std::string& results) {
  return {testing::csv_rows_by_id(read_text(results + "/cuts.csv")),
          testing::csv_rows_by_id(read_text(results + "/basins.csv")),
          testing::csv_rows_by_id(read_text(results + "/inlets.csv"))};
}

/// The line of the quarter's study that sets `key`.
std::string line_of(const std::string& key) {
  const std::string study = read_text(kQuarter + "study.toml");
  const std::size_t at = study.find("\n" + key + " = ");
  EXPECT_NE(at, std::string::npos) << key;
  return study.substr(at + 1, study.find('\n', at + 1) - at);
}

/// Puts what only the user knows, the months of the year, into a study that `start` wrote.
void give_months(const std::string& study) {
  std::string text = read_text(study);
  for (const auto& [part, keys] : std::map<std::string, std::vector<std::string>>{
           {"\n[rain]\n", {"month_rain", "wet_days"}}, {"\n[trees]\n", {"reference_et"}}}) {
    std::size_t at = text.find(part);
    ASSERT_NE(at, std::string::npos) << part;
    at += part.size();
    for (const std::string& key : keys) text.insert(at, line_of(key));
  }
  std::ofstream(study, std::ios::binary) << text;
}

/// Why the year's water of a cut is another one without most of the data; "" when nothing here says so.
std::string reason(const CsvRow& little, const CsvRow& full, const Rows& inlets) {
  constexpr double kOtherArea = 1.25;
  const double area = number(little, "area_arriving_m2") / number(full, "area_arriving_m2");
  if (area > kOtherArea || area < 1.0 / kOtherArea) {
    return little.at("uncertain_corners").empty()
               ? ""
               : "the area is another one, and a corner above is uncertain";
  }
  const double water = number(little, "arriving_common_m3") / number(full, "arriving_common_m3");
  if (water > kOtherArea) return "a drain inlet above it, not in these data, takes part of its water";
  constexpr double kSamePond_m = 30.0;
  for (const auto& [id, inlet] : inlets) {
    const double off =
        std::hypot(number(inlet, "x_m") - number(full, "x_m"), number(inlet, "y_m") - number(full, "y_m"));
    if (off < kSamePond_m && number(full, "grade_percent") == 0.0) {
      return "it lies in a pond that a drain inlet, not in these data, keeps low";
    }
  }
  return "";
}

TEST(LittleData, FourOfFiveGoodCutsGetTheYearsWaterOfAllTheDataWithinHalfAsMuchAgain) {
  const TempFolder folder;
  const Ran start = run_program(
      folder, "start town --elevation '" + kQuarter + "little/elevation.tif' --streets '" + kQuarter +
                  "little/streets.gpkg' --buildings '" + kQuarter + "little/buildings.gpkg' --cuts '" +
                  kQuarter + "cuts.csv' --two-year-1h '22 mm' --ten-year-1h '36 mm' " +
                  "--infiltration '1 in/h study'");
  ASSERT_EQ(start.exit_code, 0) << start.err;
  give_months(folder.file("town/study.toml"));
  const Ran check = run_program(folder, "check town/study.toml");
  ASSERT_EQ(check.exit_code, 0) << check.err;
  EXPECT_NE(check.out.find("You cannot decide yet:\n"), std::string::npos);
  EXPECT_NE(check.out.find("missing: the drain inlets"), std::string::npos) << check.out;
  const Ran run = run_program(folder, "run town/study.toml --out little");
  ASSERT_EQ(run.exit_code, 0) << run.err;
  EXPECT_NE(run.out.find("rank  cut "), std::string::npos);
  EXPECT_NE(run.out.find("Storm drains were not given; areas may be too large."), std::string::npos);
  ASSERT_EQ(run_program(folder, "run '" + kQuarter + "study.toml' --out full").exit_code, 0);

  const Answer little = answer_in(folder.file("little"));
  const Answer full = answer_in(folder.file("full"));
  int good = 0;
  int near = 0;
  for (const CsvRow& row : testing::csv_rows(read_text(kQuarter + "truth.csv"))) {
    if (row.at("good") != "yes") continue;
    const std::string& id = row.at("id");
    const double all = number(full.basins.at(id), "year_m3");
    const double some = number(little.basins.at(id), "year_m3");
    ++good;
    if (some <= 1.5 * all && all <= 1.5 * some) {
      ++near;
      continue;
    }
    const std::string why = reason(little.cuts.at(id), full.cuts.at(id), full.inlets);
    std::printf("%s: %.1f m3 a year, %.1f m3 from all the data: %s\n", id.c_str(), some, all, why.c_str());
    EXPECT_FALSE(why.empty()) << id;
  }
  std::printf("%d of %d good cuts within a factor of 1.5\n", near, good);
  EXPECT_GE(good, 50);
  EXPECT_GE(near * 100, good * 80);
}

/// The study with its files named in full, on `elevation`; without curbs and pavement, and with the stated
/// widths or without.
study::Settings study_on(const TempFolder& folder, const std::string& elevation, bool drawn, bool widths) {
  std::string text = read_text(kQuarter + "study.toml");
  text = std::regex_replace(text, std::regex("elevation = \"[^\"]*\""), "elevation = \"" + elevation + "\"");
  if (!drawn) text = std::regex_replace(text, std::regex("\\[street\\.(curbs|pavement)\\][^\\[]*"), "");
  if (!widths) text = std::regex_replace(text, std::regex(", width = \\{[^}]*\\}"), "");
  text = std::regex_replace(text, std::regex("(file|elevation) = \"([^/\"])"), "$1 = \"" + kQuarter + "$2");
  return study::read_study(folder.write("study.toml", text));
}

double nearest_m(const std::vector<terrain::CurbLine>& curbs, base::Point p) {
  double nearest = 1e9;
  for (const terrain::CurbLine& curb : curbs) {
    base::Box box;
    for (const base::Point& q : curb.line) box.add(q);
    if (p.x_m < box.min_x_m - nearest || p.x_m > box.max_x_m + nearest || p.y_m < box.min_y_m - nearest ||
        p.y_m > box.max_y_m + nearest) {
      continue;
    }
    nearest = std::min(nearest, base::nearest_place(curb.line, p).offset_m);
  }
  return nearest;
}

struct CurbErrors {
  double median_m = 0.0;
  double share_90_m = 0.0;
  double within_twice = 0.0;  ///< share within twice the stated error, a tenth of a cell added
};

/// Of places 2 m apart along all curbs but those of alleys, which have none.
CurbErrors curb_errors(const study::StudyInputs& found, const study::StudyInputs& truth) {
  std::vector<double> off;
  double within = 0.0;
  for (std::size_t i = 0; i < found.curbs.size(); ++i) {
    const terrain::CurbLine& curb = found.curbs[i];
    if (curb.kind == terrain::CurbKind::None) continue;
    const double length = base::length_m(curb.line);
    for (double along = 1.0; along < length; along += 2.0) {
      off.push_back(nearest_m(truth.curbs, base::point_along(curb.line, along)));
      const double doubt = 2.0 * found.curb_facts[i].position_error_m.value();
      within += off.back() <= doubt + 0.1 * found.ground.frame.cell_m ? 1.0 : 0.0;
    }
  }
  EXPECT_GT(off.size(), 1000U);
  std::sort(off.begin(), off.end());
  const auto at = [&](double share) {
    return off[static_cast<std::size_t>(share * static_cast<double>(off.size() - 1))];
  };
  return {at(0.5), at(0.9), within / static_cast<double>(off.size())};
}

TEST(LittleData, TrialCutsKeepOffTheDrivewaysThatAreDrawn) {
  const TempFolder folder;
  const Ran start =
      run_program(folder, "start town --elevation '" + kQuarter + "little/elevation.tif' --streets '" +
                              kQuarter + "little/streets.gpkg'");
  ASSERT_EQ(start.exit_code, 0) << start.err;
  const study::StudyInputs truth = gather_inputs(study_on(folder, "ground.tif", true, true), {false}).inputs;
  std::vector<terrain::CurbLine> gaps;
  for (const terrain::CurbLine& curb : truth.curbs) {
    if (curb.kind == terrain::CurbKind::Gap) gaps.push_back(curb);
  }
  ASSERT_GT(gaps.size(), 300U);
  std::set<std::string> ids;
  int on_one = 0;
  for (const CsvRow& cut : testing::csv_rows(read_text(folder.file("town/cuts.csv")))) {
    EXPECT_TRUE(ids.insert(cut.at("id")).second) << cut.at("id");
    on_one += nearest_m(gaps, {number(cut, "x"), number(cut, "y")}) < 1.0 ? 1 : 0;
  }
  std::printf("%d of %zu trial cuts on a driveway\n", on_one, ids.size());
  EXPECT_GT(ids.size(), 150U);
  EXPECT_LE(on_one * 50, static_cast<int>(ids.size()));  // 2 %
}

TEST(LittleData, CurbsFromCentrelinesLieWhereTheyWerePlanted) {
  const TempFolder folder;
  const study::StudyInputs truth = gather_inputs(study_on(folder, "ground.tif", true, true), {false}).inputs;
  for (const auto& [elevation, cell_m] :
       {std::pair("ground.tif", 0.5), std::pair("little/elevation.tif", 1.0)}) {
    for (const bool widths : {true, false}) {
      const CurbErrors errors =
          curb_errors(gather_inputs(study_on(folder, elevation, false, widths), {false}).inputs, truth);
      std::printf(
          "%g m cells, widths %s: median %.2f m, 90 %% %.2f m; %.0f %% within twice the stated error\n",
          cell_m, widths ? "from their layer" : "from the ground", errors.median_m, errors.share_90_m,
          100.0 * errors.within_twice);
      EXPECT_LT(errors.median_m, 0.15);
      EXPECT_LT(errors.share_90_m, 0.5 * cell_m);
      EXPECT_GT(errors.within_twice, 0.9);
    }
  }
}

}  // namespace
}  // namespace curbshed::cli
