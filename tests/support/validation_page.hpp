// docs/validation.md, from the registry of outside checks.
#pragma once

#include "curbshed/water/basin.hpp"

#include "support/outside_rain.hpp"
#include "support/outside_routing.hpp"
#include "support/outside_soil.hpp"
#include "support/outside_street.hpp"

#include <fmt/format.h>

namespace curbshed::testing {

inline std::vector<OutsideCheck> outside_checks() {
  std::vector<OutsideCheck> all;
  add_gutter_checks(all);
  add_opening_checks(all);
  add_grate_checks(all);
  add_constant_checks(all);
  add_sag_constants(all);
  add_travel_checks(all);
  add_runoff_checks(all);
  add_curve_number_tables(all);
  add_tr55_examples(all);
  add_rational_checks(all);
  add_sheet_peaks(all);
  add_storm_checks(all);
  add_convolution_check(all);
  add_green_ampt_checks(all);
  add_horton_checks(all);
  add_soil_tables(all);
  add_volume_checks(all);
  add_linear_reservoir(all);
  add_chow_pond(all);
  add_hec22_pond(all);
  add_bedient_pond(all);
  add_muskingum(all);
  add_muskingum_cunge(all);
  return all;
}

/// "FHWA HEC-22, 3rd ed., 2009" and "example 4-1 (1)" → "FHWA_HEC_22_3rd_ed_2009_example_4_1_1"
inline std::string test_name(const OutsideCheck& check) {
  std::string name;
  for (const char letter : check.document + " " + check.number) {
    const bool plain = (letter >= '0' && letter <= '9') || (letter >= 'a' && letter <= 'z') ||
                       (letter >= 'A' && letter <= 'Z');
    if (plain) name.push_back(letter);
    if (!plain && !name.empty() && name.back() != '_') name.push_back('_');
  }
  while (!name.empty() && name.back() == '_') name.pop_back();
  return name;
}

inline std::vector<DerivedCheck> derived_checks() {
  std::vector<DerivedCheck> all;
  const water::RawBasin basin = water::raw_basin({.length = base::Length::feet(8.0),
                                                  .width = base::Length::feet(5.0),
                                                  .side_slope = 3.0,
                                                  .ponding = base::Length::inches(6.0)},
                                                 {});
  const double rate_m_s = 0.25 * base::kMetresPerInch / 3600.0;
  all.push_back({"basin 8 ft × 5 ft × 6 in, 3 : 1, holds", "ft3", 11.75, 2,
                 basin.invert_volume_m3 / base::kCubicMetresPerCubicFoot});
  all.push_back({"it drains through its floor at 0.25 in/h in", "h", 56.4, 1,
                 basin.invert_volume_m3 / (rate_m_s * basin.floor_area_m2) / 3600.0});
  all.push_back({"it drains through its wetted plan in", "h", 24.0, 1, 0.1524 / rate_m_s / 3600.0});
  const double usual[] = {60, 70, 80, 90, 98};
  const double revised[] = {45.90, 58.51, 72.39, 86.95, 97.91};
  for (int i = 0; i < 5; ++i) {
    const double S_in = water::revised_retention(water::CurveNumber::of(usual[i])).in_inches();
    all.push_back({fmt::format("curve number {:g} at an initial abstraction of 0.05", usual[i]), "",
                   revised[i], 2, 1000.0 / (S_in + 10.0)});
  }
  const water::SheetFlow plane{.length = base::Length::metres(100.0),
                               .slope = base::Slope::fraction(0.02),
                               .roughness = base::Roughness::manning(0.015)};
  all.push_back({"kinematic plane of 100 m, 2 %, n 0.015, 50 mm/h: time to balance", "s", 361.642, 3,
                 water::sheet_flow_time(plane, base::Rate::millimetres_per_hour(50.0)).in_seconds()});
  const std::vector<double> areas = {10000.0, 20000.0, 30000.0, 10000.0};
  const std::vector<double> excess = {20.0 / 12000.0, 40.0 / 12000.0, 10.0 / 12000.0};
  std::vector<double> volume(6, 0.0);
  water::add_time_area(excess, areas, volume);
  const double flows[] = {0.05556, 0.22222, 0.41667, 0.44444, 0.19444, 0.02778};
  for (std::size_t j = 0; j < 6; ++j)
    all.push_back(
        {fmt::format("time-area of 1, 2, 3, 1 ha, step {}", j + 1), "m3/s", flows[j], 5, volume[j] / 300.0});
  return all;
}

inline std::string printed_row(const OutsideCheck& check, const PrintedValue& value, bool first,
                               std::size_t of) {
  const std::string shown = of > 1 ? fmt::format("{}; farthest of {}: {}", check.what, of, value.what)
                                   : check.what + ": " + value.what;
  return fmt::format("| {} | {} | {} | {:.{}f} | {:.{}f} | {:+.{}f} | {:.2g} | {} |\n",
                     first ? check.document + ", " + check.number : "″", shown,
                     value.unit.empty() ? "–" : value.unit, value.printed, value.decimals, value.ours,
                     value.decimals + 2, value.ours - value.printed, value.decimals + 2, value.allowed(),
                     value.why.empty() ? "last place" : value.why);
}

/// Few values: a row each. Many: the one that comes nearest to its tolerance.
inline std::string rows_of(const OutsideCheck& check) {
  constexpr std::size_t kFew = 7;
  if (check.printed.size() > kFew) {
    const auto share = [](const PrintedValue& v) {
      const double far = std::fabs(v.ours - v.printed) / v.allowed();
      return far > 1e-6 ? far : 0.0;  // rounding must not choose
    };
    const PrintedValue* worst = &check.printed.front();
    for (const PrintedValue& value : check.printed) {
      if (share(value) > share(*worst) * (1.0 + 1e-9)) worst = &value;
    }
    return printed_row(check, *worst, true, check.printed.size());
  }
  std::string text;
  for (const PrintedValue& value : check.printed)
    text += printed_row(check, value, &value == &check.printed.front(), 1);
  return text;
}

inline std::string validation_page() {
  const std::vector<OutsideCheck> all = outside_checks();
  std::string page =
      "# Outside checks\n\n"
      "<!-- Made from tests/support/outside_*.hpp: do not edit. To rewrite: CURBSHED_WRITE_DOCS=1 "
      "build/dev/bin/curbshed_water_tests --gtest_filter='ValidationPage*' -->\n\n"
      "Numbers that others published, beside what this program computes. One example or one whole table "
      "counts once; each is a "
      "named test (`OutsideChecks` in `curbshed_water_tests`), held to the printed number in its own unit, "
      "and to the same formula "
      "worked apart in double precision within 1e-6, where it makes sense at ten times and a tenth of the "
      "flow, too. Tolerance: half a "
      "unit of the last printed place, or what the last column says. Of long tables the value that comes "
      "nearest to its "
      "tolerance is shown.\n\n";
  struct Part {
    Read read;
    const char* title;
    const char* words;
  };
  const Part parts[] = {{Read::Text, "Read in the document", "The document's own text was read."},
                        {Read::SecondHand, "Read in another document",
                         "Read in a document or data set that cites it; the page itself was not opened."},
                        {Read::Memory, "From memory",
                         "Not seen; inputs and result from memory, the arithmetic agrees with every one."}};
  page += fmt::format("{} checks:", all.size());
  for (const Part& part : parts) {
    std::size_t count = 0;
    for (const OutsideCheck& check : all) count += check.read == part.read ? 1 : 0;
    page += fmt::format(" {} {}{}", count,
                        part.read == Read::Text         ? "read"
                        : part.read == Read::SecondHand ? "second hand"
                                                        : "from memory",
                        part.read == Read::Memory ? ".\n" : ",");
  }
  for (const Part& part : parts) {
    page += fmt::format(
        "\n## {}\n\n{}\n\n| document | what | unit | printed | ours | difference | tolerance | why "
        "|\n|---|---|---|---|---|---|---|---|\n",
        part.title, part.words);
    for (const OutsideCheck& check : all) {
      if (check.read == part.read) page += rows_of(check);
    }
  }
  page +=
      "\n## Derived\n\nWorked out here from the stated formulas; guards against change, no outside checks, "
      "not counted.\n\n"
      "| what | unit | by hand | ours |\n|---|---|---|---|\n";
  for (const DerivedCheck& check : derived_checks()) {
    page +=
        fmt::format("| {} | {} | {:.{}f} | {:.{}f} |\n", check.what, check.unit.empty() ? "–" : check.unit,
                    check.expected, check.decimals, check.ours, check.decimals + 2);
  }
  return page;
}

}  // namespace curbshed::testing
