#include "curbshed/study/settings.hpp"

#include "curbshed/base/error.hpp"

#include "support/temp_folder.hpp"

#include <tuple>

#include <gtest/gtest.h>

namespace curbshed::study {
namespace {

using base::InputError;

const char* const kLeast = R"(format = 1
[ground]
elevation = "elevation.tif"
[street.pavement]
file = "street.gpkg"
[street.cuts]
file = "cuts.csv"
[rain]
two_year_1h = "22 mm"
ten_year_1h = "36 mm"
[basin]
infiltration = "1 in/h"
infiltration_origin = "measured"
)";

Settings read(const std::string& text) {
  const testing::TempFolder folder;
  return read_study(folder.write("study.toml", text));
}

/// The message, with the folder of the study cut off.
std::string message_of(const std::string& text) {
  const testing::TempFolder folder;
  try {
    read_study(folder.write("study.toml", text));
  } catch (const InputError& error) {
    std::string message = error.what();
    const std::string place = folder.path() + "/";
    for (std::size_t at = message.find(place); at != std::string::npos; at = message.find(place)) {
      message.erase(at, place.size());
    }
    return message;
  }
  return "no error";
}

std::string with(std::string text, const std::string& from, const std::string& to) {
  const std::size_t at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  return text.replace(at, from.size(), to);
}

TEST(Settings, LeastStudyTakesTheDefaultsOfTheTable) {
  const Settings read_back = read(kLeast);
  const Settings plain;
  EXPECT_DOUBLE_EQ(read_back.basin.opening_m, plain.basin.opening_m);
  EXPECT_DOUBLE_EQ(read_back.basin.opening_clogging, plain.basin.opening_clogging);
  EXPECT_DOUBLE_EQ(read_back.basin.length_m, plain.basin.length_m);
  EXPECT_DOUBLE_EQ(read_back.basin.width_m, plain.basin.width_m);
  EXPECT_DOUBLE_EQ(read_back.basin.side_slope, plain.basin.side_slope);
  EXPECT_DOUBLE_EQ(read_back.basin.ponding_m, plain.basin.ponding_m);
  EXPECT_DOUBLE_EQ(read_back.basin.setback_m, plain.basin.setback_m);
  EXPECT_DOUBLE_EQ(read_back.ground.elevation_error_m, plain.ground.elevation_error_m);
  EXPECT_DOUBLE_EQ(read_back.ground.error_range_m, plain.ground.error_range_m);
  EXPECT_DOUBLE_EQ(read_back.ground.sag_least_area_m2, plain.ground.sag_least_area_m2);
  EXPECT_DOUBLE_EQ(read_back.ground.sag_depth_errors, plain.ground.sag_depth_errors);
  EXPECT_DOUBLE_EQ(read_back.ground.max_set_aside, plain.ground.max_set_aside);
  EXPECT_DOUBLE_EQ(read_back.street.curb_height_m, plain.street.curb_height_m);
  EXPECT_DOUBLE_EQ(read_back.street.rolled_height_m, plain.street.rolled_height_m);
  EXPECT_DOUBLE_EQ(read_back.street.lip_m, plain.street.lip_m);
  EXPECT_DOUBLE_EQ(read_back.street.lowering_m, plain.street.lowering_m);
  EXPECT_DOUBLE_EQ(read_back.street.fade_m, plain.street.fade_m);
  EXPECT_DOUBLE_EQ(read_back.street.snap_m, plain.street.snap_m);
  EXPECT_DOUBLE_EQ(read_back.street.roughness, plain.street.roughness);
  EXPECT_DOUBLE_EQ(read_back.street.cross_slope, plain.street.cross_slope);
  EXPECT_DOUBLE_EQ(read_back.street.least_grade, plain.street.least_grade);
  EXPECT_DOUBLE_EQ(read_back.street.inlet_length_m, plain.street.inlet_length_m);
  EXPECT_DOUBLE_EQ(read_back.street.inlet_clogging, plain.street.inlet_clogging);
  EXPECT_EQ(read_back.street.inlets_blocked, plain.street.inlets_blocked);
  EXPECT_EQ(read_back.lots.default_surface, plain.lots.default_surface);
  EXPECT_DOUBLE_EQ(read_back.lots.roof_connected, plain.lots.roof_connected);
  EXPECT_DOUBLE_EQ(read_back.lots.yard_paving_connected, plain.lots.yard_paving_connected);
  EXPECT_EQ(read_back.soil.default_group, plain.soil.default_group);
  EXPECT_DOUBLE_EQ(read_back.rain.common_depth_m, plain.rain.common_depth_m);
  EXPECT_DOUBLE_EQ(read_back.rain.block_s, plain.rain.block_s);
  EXPECT_DOUBLE_EQ(read_back.rain.step_s, plain.rain.step_s);
  EXPECT_DOUBLE_EQ(read_back.rain.after_s, plain.rain.after_s);
  EXPECT_DOUBLE_EQ(read_back.rain.sheet_limit_m, plain.rain.sheet_limit_m);
  EXPECT_DOUBLE_EQ(read_back.rain.sheet_intensity_m_s, plain.rain.sheet_intensity_m_s);
  EXPECT_DOUBLE_EQ(read_back.rain.least_slope, plain.rain.least_slope);
  EXPECT_DOUBLE_EQ(read_back.rain.slope_way_m, plain.rain.slope_way_m);
  EXPECT_DOUBLE_EQ(read_back.rain.dry_reset_s, plain.rain.dry_reset_s);
  EXPECT_EQ(read_back.origin.at("basin.opening"), "default");
  EXPECT_EQ(read_back.written.at("basin.opening"), "18 in");
}

TEST(Settings, ValuesAreTakenWithTheirUnit) {
  const Settings s = read(
      with(kLeast, "[basin]", "[basin]\nopening = \"2 ft\"\nopening_clogging = \"25 %\"\nside_slope = 1.5"));
  EXPECT_DOUBLE_EQ(s.basin.opening_m, 0.6096);
  EXPECT_DOUBLE_EQ(s.basin.opening_clogging, 0.25);
  EXPECT_DOUBLE_EQ(s.basin.side_slope, 1.5);
  EXPECT_DOUBLE_EQ(s.basin.infiltration_m_s, 0.0254 / 3600.0);
  EXPECT_DOUBLE_EQ(*s.rain.two_year_1h_m, 0.022);
  EXPECT_EQ(s.origin.at("basin.opening"), "study");
  EXPECT_EQ(s.written.at("basin.opening"), "2 ft");
}

TEST(Settings, LayersKeepFieldsUnitsAndClasses) {
  const Settings s = read(with(kLeast, "[street.cuts]", R"([street.curbs]
file = "street.gpkg"
layer = "curbs"
where = "status = 'built'"
fields = { kind = "KIND", height = { field = "H_IN", unit = "in" } }
classes = { barrier = "vertical" }
[street.cuts])"));
  EXPECT_TRUE(s.street.curbs.given());
  EXPECT_EQ(s.street.curbs.layer, "curbs");
  EXPECT_EQ(s.street.curbs.where, "status = 'built'");
  EXPECT_EQ(s.street.curbs.fields.at("height").name, "H_IN");
  EXPECT_EQ(s.street.curbs.fields.at("height").unit, "in");
  EXPECT_EQ(s.street.curbs.fields.at("kind").unit, "");
  EXPECT_EQ(s.street.curbs.classes.at("barrier"), "vertical");
  EXPECT_FALSE(s.street.inlets.given());
}

TEST(Settings, FurtherStorms) {
  const Settings s = read(std::string(kLeast) + R"([[rain.storm]]
id = "monsoon"
depth = "1.5 in"
duration = "45 min"
shape = [1, 3, 2]
[[rain.storm]]
id = "winter"
title = "Slow winter rain"
depth = "20 mm"
duration = "6 h"
)");
  ASSERT_EQ(s.rain.storms.size(), 2U);
  EXPECT_EQ(s.rain.storms[0].id, "monsoon");
  EXPECT_DOUBLE_EQ(s.rain.storms[0].depth_m, 0.0381);
  EXPECT_DOUBLE_EQ(s.rain.storms[0].duration_s, 2700.0);
  EXPECT_EQ(s.rain.storms[0].shape, (std::vector<double>{1.0, 3.0, 2.0}));
  EXPECT_EQ(s.rain.storms[1].title, "Slow winter rain");
  EXPECT_TRUE(s.rain.storms[1].shape.empty());
}

TEST(Settings, MessagesSayWhereWhatAndWhatToDo) {
  const std::tuple<std::string, std::string> cases[] = {
      {with(kLeast, "[basin]", "[basin]\nopening = 18"),
       "study.toml:12, [basin], opening: 18 has no unit. Allowed: text with a number and one of the units m, "
       "cm, mm, ft, usft, "
       "in; 0 in to 20 m. Do: write the unit that is meant, for example opening = \"18 in\"."},
      {with(kLeast, "[basin]", "[basin]\nopning = \"18 in\""),
       "study.toml:12, [basin], opning: there is no key `opning` in [basin]. Allowed: opening, "
       "opening_clogging, opening_kind, opening_height, core_diameter, invert_rise, dip, dip_width, length, "
       "width, side_slope, ponding, setback, mouth_at, infiltration, infiltration_origin, kind, outlet, "
       "outlet_drop, floor, check_dams, dam_thickness, safety_factor, soaks_over, evaporation, mulch_voids, "
       "start. Do: write `opening` if "
       "that is what "
       "was meant."},
      {with(kLeast, "[basin]", "[basin]\nwidth = \"400 ft\""),
       "study.toml:12, [basin], width: \"400 ft\" is out of range. Allowed: 0.3 m to 30 m. Do: write a value "
       "in this range; "
       "check the unit."},
      {with(kLeast, "two_year_1h = \"22 mm\"\n", ""),
       "study.toml:8, [rain], two_year_1h: a required key is missing. Rain of the 2-year, 1-hour storm; read "
       "it from the "
       "published precipitation-frequency table of the place. Allowed: 1 mm to 300 mm. Do: add two_year_1h = "
       "\"… mm\" to "
       "[rain]."},
      {with(kLeast, "\"measured\"", "\"guessed\""),
       "study.toml:13, [basin], infiltration_origin: \"guessed\" is not known here. Allowed: measured, "
       "study, soil map, assumed. Do: write "
       "one of these words."},
      {with(kLeast, "format = 1\n", ""),
       "study.toml:1, ground: the first key is not `format`. Allowed: format = 1. Do: write `format = 1` as "
       "the first line of "
       "the study."},
      {with(kLeast, "format = 1", "format = 2"),
       "study.toml:1, format: format 2 is not known to this version. Allowed: 1. Do: write `format = 1` as "
       "the first line of "
       "the study."},
      {with(kLeast, "[rain]", "[rian]"),
       "study.toml:8, rian: there is no key or part `rian` in a study. Allowed: title, place, ground, "
       "street, gutter, lots, "
       "soil, rain, opening, basin, room, candidates, trees, money, rules, choose, page. "
       "Do: write `rain` if that is what was meant."},
      {with(kLeast, "[basin]", "[basin]\nside_slope = 6"),
       "study.toml, [basin], side_slope: the basin has no floor: 2 × side_slope 6 × ponding 0.150 m = 1.800 "
       "m, and its shorter "
       "side is 1.500 m. Allowed: 2 × side_slope × ponding below length and width. Do: make it wider, "
       "steeper or shallower."},
      {with(kLeast, "\"36 mm\"", "\"3.6 mm\""),
       "study.toml, [rain], ten_year_1h: the 10-year hour (3.6 mm) is below the 2-year hour (22.0 mm). "
       "Allowed: at least the "
       "2-year hour. Do: look at the table again: are the two exchanged, or the units?"},
      {with(kLeast, "[street.pavement]\nfile = \"street.gpkg\"\n", ""),
       "study.toml, [street]: neither curbs nor pavement nor centrelines are given: there is no gutter to "
       "follow. Allowed: [street.curbs], [street.pavement] or [street.centrelines]. "
       "Do: add at least one of the three layers."},
      {std::string(kLeast) + "[[rain.storm]]\nid = \"two_year\"\ndepth = \"1 in\"\n",
       "study.toml:15, [rain.storm], id: there is another storm \"two_year\". Allowed: small letters, digits "
       "and _; each once; "
       "not common, two_year, ten_year. Do: choose another id."},
  };
  for (const auto& [text, message] : cases) {
    EXPECT_EQ(message_of(text), message);
  }
}

TEST(Settings, NoTextCrashesTheReader) {
  const std::string bad[] = {
      "",
      "format",
      "format = ",
      "format = \"1\"",
      "format = 1\nground = 3",
      "format = 1\n[[ground]]\n",
      "format = 1\n[street]\ncurbs = 3",
      "format = 1\n[street.curbs]\nfields = 3\n",
      "format = 1\n[street.curbs]\nclasses = []\n",
      "format = 1\n[street.pavement]\nclasses = { a = \"b\" }\n",
      "format = 1\n[rain]\nstorm = [1]\n",
      "format = 1\n[rain]\nblock = 1979-05-27\n",
      "format = 1\n[basin]\nside_slope = nan\n",
      "format = 1\n[basin]\nside_slope = inf\n",
      "format = 1\n[basin]\nopening = [1]\n",
      "format = 1\n[ground]\nelevation = \"\"\n",
      "format = 1\n[street]\ninlets_blocked = \"yes\"\n",
      "format = 1\n[street.curbs]\nfields = { height = { unit = \"in\" } }\n",
      "format = 1\n[street.curbs]\nfields = { kind = { field = \"K\", unit = \"in\" } }\n",
      "format = 1\n[street.curbs]\nfields = { height = { field = \"H\", unit = \"mm/h\" } }\n",
      "format = 1\n[street.curbs]\nlayer = \"x\"\n",
      std::string("format = 1\n\0", 12),
      "\xff\xfe"};
  for (const std::string& text : bad) {
    EXPECT_NE(message_of(text), "no error") << text;
  }
  EXPECT_THROW(read_study("/nowhere/study.toml"), InputError);
  EXPECT_THROW(read_study("/tmp"), InputError);
}

}  // namespace
}  // namespace curbshed::study
