// Broken studies, data and command lines: each ends with its exit code, nothing on stdout and a message that
// says what to do.
#include "support/program.hpp"
#include "support/small_study.hpp"

#include <cstdlib>
#include <filesystem>
#include <functional>
#include <map>

#include <gtest/gtest.h>

namespace curbshed::testing {
namespace {

std::string replaced(std::string text, const std::string& from, const std::string& to) {
  const std::size_t at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  return at == std::string::npos ? text : text.replace(at, from.size(), to);
}

void edit(const TempFolder& folder, const std::string& file, const std::string& from, const std::string& to) {
  folder.write(file, replaced(read_text(folder.file(file)), from, to));
}

struct Broken {
  std::string name;
  std::function<void(const TempFolder&)> breaks;
  std::string arguments = "run study.toml --out out";
  int exit_code = 1;
  std::string environment = "";
};

std::function<void(const TempFolder&)> study_edit(const std::string& from, const std::string& to) {
  return [=](const TempFolder& folder) { edit(folder, "study.toml", from, to); };
}
std::function<void(const TempFolder&)> file_is(const std::string& file, const std::string& text) {
  return [=](const TempFolder& folder) { folder.write(file, text); };
}
void nothing(const TempFolder&) {}

std::string cut_row(const std::string& name, double east_m, double north_m, const std::string& opening = "") {
  return fmt::format("{},{},{},{}\n", name, SmallStudy::kWest_m + east_m, SmallStudy::kMiddle_m + north_m,
                     opening);
}
std::string cuts_with(const std::string& row) { return SmallStudy::cuts() + row; }

/// A cut by street, side, corner and distance.
std::function<void(const TempFolder&)> by_tape(const std::string& street, const std::string& side,
                                               const std::string& corner, const std::string& distance) {
  return file_is("cuts.csv", fmt::format("name,east,north,street,side,corner,distance\nK3,,,{},{},{},{}\n",
                                         street, side, corner, distance));
}

std::vector<Broken> study_cases() {
  return {
      {"no_such_study", nothing, "run nowhere.toml --out out", 1, ""},
      {"no_toml", study_edit("[rain]", "[rain"), "check study.toml", 1, ""},
      {"unknown_key", study_edit("[basin]", "[basin]\ndepth = \"6 in\"")},
      {"number_without_unit", study_edit("[basin]", "[basin]\nopening = 18")},
      {"unit_of_another_kind", study_edit("\"25 mm/h\"", "\"25 mm\"")},
      {"value_out_of_range", study_edit("[basin]", "[basin]\nponding = \"15 m\"")},
      {"candidates_switch_in_words", study_edit("[basin]", "[candidates]\non = \"yes\"\n[basin]")},
      {"candidates_too_near", study_edit("[basin]", "[candidates]\non = true\nspacing = \"1 m\"\n[basin]")},
      {"room_key_unknown", study_edit("[basin]", "[room]\nledge = \"1 ft\"\n[basin]")},
      {"room_without_unit", study_edit("[basin]", "[room]\nshelf = 12\n[basin]")},
      {"price_without_currency", study_edit("[basin]", "[money]\nstone = 40\n[basin]")},
      {"price_below_nothing", study_edit("[basin]", "[money]\ncurrency = \"dollars\"\nmulch = -4\n[basin]")},
      {"price_per_what", study_edit("[basin]", "[money]\nper = \"yard\"\n[basin]")},
      {"choose_a_part_of_a_cut", study_edit("[basin]", "[choose]\ncount = 2.5\n[basin]")},
      {"choose_an_unknown_cut", study_edit("[basin]", "[choose]\ncount = 1\nmust = [\"K9\"]\n[basin]")},
      {"choose_by_money_without_prices", study_edit("[basin]", "[choose]\nmoney = 500\n[basin]")},
      {"choose_by_a_year_without_months",
       study_edit("[basin]", "[choose]\ncount = 1\naim = \"year\"\n[basin]")},
      {"choose_for_an_unknown_storm",
       study_edit("[basin]", "[choose]\ncount = 1\nstorm = \"flood\"\n[basin]")},
      {"choose_without_a_limit", study_edit("[basin]", "[choose]\nnever = [\"K1\"]\n[basin]")},
      {"choose_words_that_are_no_list",
       study_edit("[basin]", "[choose]\ncount = 1\nnever = \"K1\"\n[basin]")},
      {"rain_missing", study_edit("two_year_1h = \"22 mm\"\n", "")},
      {"eleven_months", study_edit("[basin]", "month_rain = [\"1 in\"]\n[basin]")},
      {"month_without_unit",
       study_edit("[basin]", "month_rain = [9, 9, 9, 9, 9, 9, 9, 9, 9, 9, 9, 9]\n[basin]")},
      {"months_without_evapotranspiration",
       study_edit("[basin]", "wet_days = [3, 3, 3, 1, 1, 1, 5, 6, 3, 2, 2, 3]\n[basin]")},
      {"storm_of_odd_length",
       study_edit("[basin]",
                  "[[rain.storm]]\nid = \"odd\"\ndepth = \"1 in\"\nduration = \"17 min\"\n[basin]")},
      {"storm_without_depth", study_edit("[basin]", "[[rain.storm]]\nid = \"day\"\nkind = \"II\"\n[basin]")},
      {"day_storm_of_an_hour",
       study_edit(
           "[basin]",
           "[[rain.storm]]\nid = \"day\"\nkind = \"II\"\ndepth = \"3 in\"\nduration = \"1 h\"\n[basin]")},
      {"chicago_without_table",
       study_edit("[basin]", "[[rain.storm]]\nid = \"idf\"\nkind = \"chicago\"\n[basin]")},
      {"rain_table_missing",
       study_edit("[basin]",
                  "[[rain.storm]]\nid = \"idf\"\nkind = \"chicago\"\ntable = \"rain.csv\"\n[basin]")},
      {"green_ampt_without_texture", study_edit("[basin]", "[soil]\nlosses = \"green_ampt\"\n[basin]")},
      {"texture_without_saturation", study_edit("[basin]", "[soil]\ndefault_texture = \"loam\"\n[basin]")},
      {"texture_unknown", study_edit("[basin]", "[soil]\ndefault_texture = \"peat\"\n[basin]")},
      {"tank_without_roof_share", study_edit("[basin]", "[lots.tank]\nsize = \"5 m3\"\nstart = 0\n[basin]")},
      {"tank_without_start", study_edit("[basin]", "[lots.tank]\nsize = \"5 m3\"\nroof_share = 1\n[basin]")},
      {"tank_without_lots",
       study_edit("[basin]", "[lots.tank]\nsize = \"5 m3\"\nroof_share = 1\nstart = 0\n[basin]")},
      {"tank_use_of_no_unit", study_edit("[basin]", "[lots.tank]\nuse = 200\n[basin]")},
      {"tank_share_over_one", study_edit("[basin]", "[lots.tank]\nroof_share = 1.2\n[basin]")},
      {"tank_word_unknown", study_edit("[basin]", "[lots.tank]\nwhen = \"soon\"\n[basin]")},
      {"safety_factor_below_one", study_edit("[basin]", "[basin]\nsafety_factor = 0.5")},
      {"evaporation_of_no_unit", study_edit("[basin]", "[basin]\nevaporation = 5")},
      {"mulch_of_air", study_edit("[basin]", "[basin]\nmulch_voids = 0.9")},
      {"basin_start_over_full", study_edit("[basin]", "[basin]\nstart = 2")},
      {"soaks_over_nothing_known", study_edit("[basin]", "[basin]\nsoaks_over = \"walls\"")},
      {"ground_of_no_condition", study_edit("[basin]", "[soil]\ncondition = \"muddy\"\n[basin]")},
      {"tank_key_unknown", study_edit("[basin]", "[lots.tank]\nvolume = \"5 m3\"\n[basin]")},
      {"saturation_over_one", study_edit("[basin]", "[soil]\nsaturation = 1.5\n[basin]")},
      {"horton_without_decay",
       study_edit(
           "[basin]",
           "[soil]\nlosses = \"horton\"\nhorton_initial = \"50 mm/h\"\nhorton_final = \"10 mm/h\"\n[basin]")},
      {"horton_exchanged",
       study_edit("[basin]",
                  "[soil]\nlosses = \"horton\"\nhorton_initial = \"5 mm/h\"\nhorton_final = \"10 mm/h\"\n"
                  "horton_decay = \"2 1/h\"\n[basin]")},
      {"coefficient_not_given", study_edit("[basin]", "[soil]\nlosses = \"coefficient\"\n[basin]")},
      {"opening_coefficients_without_a_label",
       study_edit("[basin]", "[opening]\nlength_factor = 0.7\n[basin]")},
      {"gutter_dip_without_measures", study_edit("[basin]", "[gutter]\nsection = \"depressed\"\n[basin]")},
      {"gutter_section_unknown", study_edit("[basin]", "[gutter]\nsection = \"vee\"\n[basin]")},
      {"gutter_parabola_without_width", study_edit("[basin]", "[gutter]\nsection = \"parabolic\"\n[basin]")},
      {"basin_kind_unknown", study_edit("[basin]", "[basin]\nkind = \"flowing\"")},
      {"check_dams_half", study_edit("[basin]", "[basin]\ncheck_dams = 1.5")},
      {"check_dams_take_the_floor", study_edit("[basin]", "[basin]\nfloor = \"falling\"\ncheck_dams = 40")},
      {"outlet_without_unit", study_edit("[basin]", "[basin]\nkind = \"through\"\noutlet = 18")},
      {"basin_kind_of_a_cut_unknown",
       file_is("cuts.csv", fmt::format("name,east,north,basin_kind\nK1,{},{},pond\n",
                                       SmallStudy::kWest_m + 19.0, SmallStudy::kMiddle_m + 4.5))},
      {"floor_of_a_cut_unknown",
       file_is("cuts.csv", fmt::format("name,east,north,floor\nK1,{},{},round\n", SmallStudy::kWest_m + 19.0,
                                       SmallStudy::kMiddle_m + 4.5))},
      {"check_dams_of_a_cut_half",
       file_is("cuts.csv", fmt::format("name,east,north,check_dams\nK1,{},{},0.5\n",
                                       SmallStudy::kWest_m + 19.0, SmallStudy::kMiddle_m + 4.5))},
      {"desk_check_dams_half", nothing,
       "desk basin --length 8ft --width 5ft --depth 6in --side-slope 1 --conductivity 1in/h --check-dams 1.5",
       1, ""},
      {"core_without_diameter", study_edit("[basin]", "[basin]\nopening_kind = \"core\"")},
      {"core_higher_than_its_curb",
       study_edit("[basin]", "[basin]\nopening_kind = \"core\"\ncore_diameter = \"10 in\"")},
      {"opening_kind_of_a_cut_unknown",
       file_is("cuts.csv", fmt::format("name,east,north,opening_kind\nK1,{},{},drilled\n",
                                       SmallStudy::kWest_m + 10.0, SmallStudy::kMiddle_m + 4.0))},
      {"rain_table_broken",
       [](const TempFolder& f) {
         f.write("rain.csv", "duration_min,2yr_mm\n5,7\n60,heavy\n");
         edit(f, "study.toml", "[basin]",
              "[[rain.storm]]\nid = \"idf\"\nkind = \"chicago\"\ntable = \"rain.csv\"\n[basin]");
       }},
      {"rain_table_without_the_column",
       [](const TempFolder& f) {
         f.write("rain.csv", "duration_min,2yr_mm\n5,7\n60,22\n");
         edit(f, "study.toml", "[basin]",
              "[[rain.storm]]\nid = \"idf\"\nkind = \"alternating\"\ntable = \"rain.csv\"\ncolumn = "
              "\"5yr\"\n[basin]");
       }},
  };
}

std::vector<Broken> ground_cases() {
  return {
      {"elevation_missing", study_edit("elevation.asc", "dem.tif")},
      {"elevation_is_no_raster", study_edit("elevation.asc", "cuts.csv")},
      {"elevation_without_place",
       [](const TempFolder& f) { std::filesystem::remove(f.file("elevation.prj")); }},
      {"elevation_in_degrees",
       [](const TempFolder& f) {
         f.write(
             "elevation.prj",
             "GEOGCS[\"GCS_WGS_1984\",DATUM[\"D_WGS_1984\",SPHEROID[\"WGS_1984\",6378137.0,298.257223563]],"
             "PRIMEM[\"Greenwich\",0.0],UNIT[\"Degree\",0.0174532925199433]]\n");
         edit(f, "elevation.asc", "xllcorner 500000", "xllcorner -111");
         edit(f, "elevation.asc", "yllcorner 3560000", "yllcorner 32.1");
         edit(f, "elevation.asc", "cellsize 0.5", "cellsize 0.000005");
       }},
      {"height_unit_unknown", study_edit("height_unit = \"m\"\n", "")},
      {"no_height_at_all",
       [](const TempFolder& f) {
         edit(f, "elevation.asc", "NODATA_value -9999", "NODATA_value 0");
         std::string t = read_text(f.file("elevation.asc"));
         std::string head = t.substr(0, t.find("NODATA_value 0") + 15);
         for (int i = 0; i < SmallStudy::kRows * SmallStudy::kCols; ++i) {
           head += "0 ";
         }
         f.write("elevation.asc", head + "\n");
       }},
      {"undeclared_no_data",
       [](const TempFolder& f) {
         edit(f, "elevation.asc", "NODATA_value -9999\n", "");
         edit(f, "elevation.asc", "99.9", "-99999.9");
       }},
  };
}

std::vector<Broken> layer_cases() {
  return {
      {"layer_file_missing", study_edit("pavement.geojson", "streets.gpkg")},
      {"layer_name_unknown",
       study_edit("file = \"curbs.geojson\"", "file = \"curbs.geojson\"\nlayer = \"kerbs\"")},
      {"filter_that_does_not_work",
       study_edit("file = \"curbs.geojson\"", "file = \"curbs.geojson\"\nwhere = \"stat = 'x'\"")},
      {"field_unknown", study_edit("field = \"h\"", "field = \"height\"")},
      {"field_without_unit",
       study_edit("{ height = { field = \"h\", unit = \"in\" } }", "{ height = \"h\" }")},
      {"too_many_set_aside", study_edit("classes = { barrier = \"vertical\" }\n", "")},
      {"strict",
       [](const TempFolder& f) {
         edit(f, "curbs.geojson", "\"h\":6.0", "\"h\":600.0");
         edit(f, "study.toml", "height_unit = \"m\"", "height_unit = \"m\"\nmax_set_aside = 1");
       },
       "check study.toml --strict", 1, ""},
      {"pavement_elsewhere",
       [](const TempFolder& f) {
         f.write("pavement.geojson", SmallStudy::collection(SmallStudy::feature(
                                         "Polygon", SmallStudy::box(5000, 0, 5010, 5), "")));
       }},
      {"pavement_of_points",
       [](const TempFolder& f) {
         f.write("pavement.geojson",
                 SmallStudy::collection(SmallStudy::feature("Point", SmallStudy::at(5, 0), "")));
       }},
  };
}

/// The street by its middle line instead of pavement and curbs.
std::function<void(const TempFolder&)> middle_line(const std::string& coordinates,
                                                   const std::string& properties) {
  return [=](const TempFolder& folder) {
    std::string text = SmallStudy::study();
    const std::size_t begin = text.find("[street.pavement]");
    text.replace(begin, text.find("[street.cuts]") - begin,
                 "[street.centrelines]\nfile = \"middle.geojson\"\n"
                 "fields = { width = { field = \"wide\", unit = \"m\" } }\n");
    folder.write("study.toml", text);
    folder.write("middle.geojson",
                 SmallStudy::collection(SmallStudy::feature("LineString", coordinates, properties)));
  };
}

std::vector<Broken> centreline_cases() {
  const std::string along = fmt::format("[{},{}]", SmallStudy::at(-5, 0), SmallStudy::at(35, 0));
  return {
      {"centreline_too_wide", middle_line(along, "\"id\":\"m1\",\"wide\":90")},
      {"centreline_of_unknown_class", middle_line(along, "\"id\":\"m1\",\"wide\":8,\"class\":\"lane\"")},
      {"centreline_without_length",
       middle_line(fmt::format("[{},{}]", SmallStudy::at(5, 0), SmallStudy::at(5.2, 0)),
                   "\"id\":\"m1\",\"wide\":8")},
      {"centreline_elsewhere",
       middle_line(fmt::format("[{},{}]", SmallStudy::at(5000, 0), SmallStudy::at(5090, 0)),
                   "\"id\":\"m1\",\"wide\":8")},
      {"centreline_without_unit",
       [=](const TempFolder& folder) {
         middle_line(along, "\"id\":\"m1\",\"wide\":8")(folder);
         edit(folder, "study.toml", "{ field = \"wide\", unit = \"m\" }", "\"wide\"");
       }},
      {"width_by_class_out_of_range", study_edit("[rain]", "[street]\nalley_width = \"90 m\"\n[rain]")},
  };
}

std::vector<Broken> cut_cases() {
  return {
      {"cut_named_twice", file_is("cuts.csv", cuts_with(cut_row("K1", 15, 4)))},
      {"cut_without_place", file_is("cuts.csv", cuts_with("K3,,,\n"))},
      {"cut_with_half_a_place", file_is("cuts.csv", cuts_with("K3,500015,,\n"))},
      {"cut_on_an_unknown_street", by_tape("Kiln Stret", "north", "west end", "5 m")},
      {"cut_on_an_unknown_side", by_tape("Kiln Street", "left", "west end", "5 m")},
      {"cut_at_an_unknown_corner", by_tape("Kiln Street", "north", "Lantern Street", "5 m")},
      {"cut_beyond_the_block", by_tape("Kiln Street", "north", "west end", "105 ft 6 in")},
      {"cut_without_distance", by_tape("Kiln Street", "north", "west end", "")},
      {"cut_sentence_that_is_none",
       [](const TempFolder& f) {
         f.write("cuts.csv", "name,east,north,place\nK3,,,\"17 m along Kiln Street\"\n");
       }},
      {"cut_ways_that_do_not_agree",
       [](const TempFolder& f) {
         f.write("cuts.csv",
                 "name,east,north,longitude,latitude\nK3,500015,3560014,-110.9998939,32.1766294\n");
       }},
      {"cut_in_the_study_without_unit",
       study_edit("[rain]", "[[street.cut]]\nid = \"K3\"\ndistance = 12\n[rain]")},
      {"cut_in_the_study_beyond_the_block",
       study_edit("[rain]",
                  "[[street.cut]]\nid = \"K3\"\nstreet = \"Kiln Street\"\nside = \"south\"\n"
                  "corner = \"east end\"\ndistance = \"31 m\"\n[rain]")},
      {"cut_outside_the_elevation", file_is("cuts.csv", cuts_with(cut_row("K3", 300, 4)))},
      {"cut_far_from_a_gutter", file_is("cuts.csv", cuts_with(cut_row("K3", 15, 9)))},
      {"cuts_in_one_gutter_cell", file_is("cuts.csv", cuts_with(cut_row("K3", 10.1, 4)))},
      {"cut_value_out_of_range", file_is("cuts.csv", cuts_with(cut_row("K3", 15, 4, "90 ft")))},
      {"cut_value_without_unit", file_is("cuts.csv", cuts_with(cut_row("K3", 15, 4, "18")))},
      {"cut_place_is_no_number", file_is("cuts.csv", cuts_with("K3,here,there,\n"))},
      {"no_cut_at_all", file_is("cuts.csv", "name,east,north,opening\n")},
      {"cut_columns_unknown", study_edit("x = \"east\"", "x = \"easting\"")},
      {"basin_without_floor",
       [](const TempFolder& f) {
         f.write("cuts.csv",
                 "name,east,north,side_slope\n" +
                     fmt::format("K1,{},{},8\n", SmallStudy::kWest_m + 10, SmallStudy::kMiddle_m + 4));
       }},
  };
}

std::function<void(const TempFolder&)> with_layer(const std::string& part, const std::string& file,
                                                  const std::string& text) {
  return [=](const TempFolder& folder) {
    folder.write(file, text);
    edit(folder, "study.toml", "[rain]", fmt::format("[street.{}]\nfile = \"{}\"\n[rain]", part, file));
  };
}
std::string flow_line(const std::string& properties, double to_east) {
  return SmallStudy::feature("LineString",
                             fmt::format("[{},{}]", SmallStudy::at(5, 3.5), SmallStudy::at(to_east, -3.5)),
                             properties);
}
std::string corner_row(const std::string& way) {
  return fmt::format("id,x,y,way\nA,{},{},{}\n", SmallStudy::kWest_m + 10, SmallStudy::kMiddle_m + 4, way);
}

std::string shared_row(const std::string& way, const std::string& share) {
  return fmt::format("id,x,y,way,share\nA,{},{},{},{}\n", SmallStudy::kWest_m + 10, SmallStudy::kMiddle_m + 4,
                     way, share);
}

std::vector<Broken> corner_cases() {
  const auto lines = [](const std::string& features) {
    return with_layer("flow_lines", "lines.geojson", SmallStudy::collection(features));
  };
  const std::string valley = "\"id\":\"V1\",\"kind\":\"valley\"";
  return {
      {"flow_line_of_unknown_kind", lines(flow_line("\"id\":\"V1\",\"kind\":\"ditch\"", 9))},
      {"flow_line_without_kind", lines(flow_line("\"id\":\"V1\"", 9))},
      {"flow_line_without_name", lines(flow_line("\"kind\":\"hump\"", 9))},
      {"flow_line_named_twice", lines(flow_line(valley, 9) + ",\n" + flow_line(valley, 12))},
      {"flow_line_off_the_elevation", lines(flow_line(valley, 90))},
      {"corner_point_without_a_corner", with_layer("corners", "corners.csv", corner_row("turn"))},
      {"corner_point_of_unknown_way", with_layer("corners", "corners.csv", corner_row("left"))},
      {"corner_point_share_without_a_fraction", with_layer("corners", "corners.csv", corner_row("share"))},
      {"corner_point_share_above_one", with_layer("corners", "corners.csv", shared_row("share", "1.2"))},
      {"corner_point_share_below_zero", with_layer("corners", "corners.csv", shared_row("share", "-0.1"))},
      {"corner_point_turns_with_a_share", with_layer("corners", "corners.csv", shared_row("turn", "0.6"))},
      {"corner_point_share_without_a_corner",
       with_layer("corners", "corners.csv", shared_row("share", "0.6"))},
  };
}

std::vector<Broken> field_cases() {
  const auto rows = [](const std::string& text) { return with_layer("field", "field.csv", text); };
  return {
      {"field_row_of_an_unknown_cut", rows("cut,grade\nK1,1 %\nK12,1 %\n")},
      {"field_row_without_a_cut", rows("cut,grade\n,1 %\n")},
      {"field_row_far_from_a_cut",
       rows("street,side,corner,distance,grade\nKiln Street,south,west end,10 m,1 %\n")},
      {"field_value_out_of_range", rows("cut,grade\nK1,100 %\n")},
      {"field_value_without_unit", rows("cut,curb_height\nK1,6\n")},
      {"field_value_twice", rows("cut,grade\nK1,1 %\nK2,1 %\nK1,1.1 %\n")},
      {"field_water_that_is_neither", rows("cut,water\nK1,maybe\n")},
      {"field_level_of_another_datum", rows("cut,gutter_level\nK1,328 m\n")},
      {"field_column_unknown",
       [=](const TempFolder& folder) {
         rows("cut,slope\nK1,1 %\n")(folder);
         edit(folder, "study.toml", "file = \"field.csv\"",
              "file = \"field.csv\"\nfields = { grade = \"Slope in %\" }");
       }},
  };
}

std::vector<Broken> level_cases() {
  const auto rows = [](const std::string& text) {
    return with_layer("levels", "levels.csv", "cut,what,height,error\n" + text);
  };
  return {
      {"level_of_an_unknown_cut", rows("K1,walk,-1 cm,\nK12,walk,-1 cm,\n")},
      {"level_without_a_cut", rows(",walk,-1 cm,\n")},
      {"level_without_unit", rows("K1,gutter,-6,\n")},
      {"level_of_what", rows("K1,roof,-6 in,\n")},
      {"level_of_nothing", rows("K1,,-6 in,\n")},
      {"level_without_height", rows("K1,walk,,5 mm\n")},
      {"level_far_off", rows("K1,doorway,326 m,\n")},
      {"level_of_a_gutter_above_the_curb", rows("K1,gutter,6 in,\n")},
      {"level_error_out_of_range", rows("K1,gutter,-6 in,1 m\n")},
      {"level_error_without_unit", rows("K1,gutter,-6 in,5\n")},
      {"level_twice", rows("K1,walk,-1 cm,\nK1,walk,-2 cm,\n")},
  };
}

/// One inlet at (8, 4) on Kiln Street, its rating table and its outlet.
std::function<void(const TempFolder&)> with_drain(const std::string& ratings, double outlet_east_m) {
  return [=](const TempFolder& folder) {
    const auto at = [](double east_m) {
      return fmt::format("{},{}", SmallStudy::kWest_m + east_m, SmallStudy::kMiddle_m + 4);
    };
    with_layer("inlets", "inlets.csv", "id,x,y,rating,outlet\nD1," + at(8) + ",type A,P1\n")(folder);
    with_layer("inlet_ratings", "ratings.csv", "rating,depth,flow,captured\n" + ratings)(folder);
    with_layer("pipe_outlets", "outlets.csv", "id,x,y\nP1," + at(outlet_east_m) + "\n")(folder);
  };
}

std::vector<Broken> drain_cases() {
  return {
      {"rating_without_a_table", with_drain(",5 cm,,10 L/s\n", 15)},
      {"rating_by_depth_and_flow", with_drain("type A,5 cm,20 L/s,10 L/s\n", 15)},
      {"rating_of_two_sorts", with_drain("type A,5 cm,,10 L/s\ntype A,,20 L/s,10 L/s\n", 15)},
      {"rating_without_captured_flow", with_drain("type A,5 cm,,\n", 15)},
      {"rating_that_takes_more_than_comes", with_drain("type A,,20 L/s,30 L/s\n", 15)},
      {"rating_that_falls", with_drain("type A,5 cm,,10 L/s\ntype A,10 cm,,8 L/s\n", 15)},
      {"rating_depth_twice", with_drain("type A,5 cm,,10 L/s\ntype A,50 mm,,12 L/s\n", 15)},
      {"pipe_outlet_above_its_inlet", with_drain("type A,5 cm,,10 L/s\n", 3)},
      {"inlets_that_name_no_rating", with_drain("type B,5 cm,,10 L/s\n", 15)},
  };
}

std::vector<Broken> wall_cases() {
  const auto walls = [](const std::string& properties) {
    return [=](const TempFolder& folder) {
      folder.write("walls.geojson",
                   SmallStudy::collection(SmallStudy::feature(
                       "LineString", fmt::format("[{},{}]", SmallStudy::at(5, 6), SmallStudy::at(12, 6)),
                       properties)));
      edit(folder, "study.toml", "[rain]",
           "[lots.walls]\nfile = \"walls.geojson\"\nfields = { height = { field = \"h\", unit = \"ft\" } "
           "}\n[rain]");
    };
  };
  return {
      {"wall_too_high", walls("\"id\":\"W1\",\"h\":90")},
      {"wall_height_is_no_number", walls("\"id\":\"W1\",\"h\":\"tall\"")},
      {"walls_of_polygons",
       [=](const TempFolder& folder) {
         walls("\"h\":3")(folder);
         folder.write("walls.geojson", SmallStudy::collection(SmallStudy::feature(
                                           "Polygon", SmallStudy::box(5, 5, 9, 9), "\"h\":3")));
       }},
      {"choice_weights_without_a_weight",
       [](const TempFolder& folder) {
         folder.write("heat.geojson", SmallStudy::collection(SmallStudy::feature(
                                          "Polygon", SmallStudy::box(5, 5, 9, 9), "\"id\":\"H1\"")));
         edit(folder, "study.toml", "[rain]",
              "[choose]\ncount = 1\n[choose.weights]\nfile = \"heat.geojson\"\n[rain]");
       }},
      {"choice_weight_below_nothing",
       [](const TempFolder& folder) {
         folder.write("heat.geojson",
                      SmallStudy::collection(SmallStudy::feature("Polygon", SmallStudy::box(5, 5, 9, 9),
                                                                 "\"id\":\"H1\",\"weight\":-2")));
         edit(folder, "study.toml", "[rain]",
              "[choose]\ncount = 1\n[choose.weights]\nfile = \"heat.geojson\"\n[rain]");
       }},
  };
}

std::vector<Broken> existing_basin_cases() {
  const auto basins = [](const std::string& box, const std::string& properties) {
    return with_layer("existing_basins", "basins.geojson",
                      SmallStudy::collection(SmallStudy::feature("Polygon", box, properties)));
  };
  const std::string good = SmallStudy::box(13, 4.3, 17, 5.8);
  return {
      {"existing_basin_far_from_a_curb", basins(SmallStudy::box(13, 9.3, 17, 9.9), "\"id\":\"B1\"")},
      {"existing_basin_too_large", basins(SmallStudy::box(1, 4.3, 140, 50), "\"id\":\"B1\"")},
      {"existing_basin_with_volume_and_depth",
       basins(good, "\"id\":\"B1\",\"volume\":\"1 m3\",\"ponding\":\"6 in\"")},
      {"existing_basin_too_deep", basins(good, "\"id\":\"B1\",\"volume\":\"90 m3\"")},
      {"existing_basin_where_a_cut_is",
       basins(SmallStudy::box(9, 4.3, 11, 5.8), "\"id\":\"B1\",\"side_slope\":1")},
  };
}

/// `start` on the small street's elevation and its middle line, which `breaks` may change.
Broken start_case(const std::string& name, const std::function<void(const TempFolder&)>& breaks,
                  const std::string& more = "", const std::string& streets = "streets.geojson") {
  const std::function<void(const TempFolder&)> all = [breaks](const TempFolder& folder) {
    folder.write("streets.geojson",
                 SmallStudy::collection(SmallStudy::feature(
                     "LineString", fmt::format("[{},{}]", SmallStudy::at(-5, 0), SmallStudy::at(35, 0)),
                     "\"name\":\"Kiln Street\",\"width_m\":8")));
    breaks(folder);
  };
  return {name, all,
          "start town --elevation elevation.asc --streets " + streets + " --height-unit m " + more};
}
std::string streets_of(const std::string& shape, const std::string& coordinates) {
  return SmallStudy::collection(SmallStudy::feature(shape, coordinates, "\"name\":\"Kiln Street\""));
}

std::vector<Broken> start_cases() {
  const auto none = [](const TempFolder&) {};
  const auto in_degrees = ground_cases()[3].breaks;
  return {
      start_case("start_elevation_missing",
                 [](const TempFolder& f) { std::filesystem::remove(f.file("elevation.asc")); }),
      start_case("start_elevation_without_place",
                 [](const TempFolder& f) { std::filesystem::remove(f.file("elevation.prj")); }),
      start_case("start_elevation_in_degrees", in_degrees),
      start_case("start_streets_missing", none, "", "roads.gpkg"),
      start_case(
          "start_streets_outside_the_elevation",
          file_is("streets.geojson", streets_of("LineString", fmt::format("[{},{}]", SmallStudy::at(5000, 0),
                                                                          SmallStudy::at(5090, 0))))),
      start_case("start_streets_of_points",
                 file_is("streets.geojson", streets_of("Point", SmallStudy::at(5, 0)))),
      start_case("start_streets_empty", file_is("streets.geojson", SmallStudy::collection(""))),
      start_case("start_streets_without_system",
                 file_is("streets.csv",
                         "id,WKT\n1,\"LINESTRING(" +
                             fmt::format("{} {}", SmallStudy::kWest_m, SmallStudy::kMiddle_m) +
                             fmt::format(",{} {})\"\n", SmallStudy::kWest_m + 30, SmallStudy::kMiddle_m)),
                 "", "streets.csv"),
      start_case("start_buildings_elsewhere",
                 file_is("houses.geojson", SmallStudy::collection(SmallStudy::feature(
                                               "Polygon", SmallStudy::box(5000, 0, 5010, 5), ""))),
                 "--buildings houses.geojson"),
      start_case("start_folder_has_a_study", file_is("town/study.toml", "mine")),
      start_case("start_folder_is_a_file", file_is("town", "a file")),
      start_case("start_place_outside_the_elevation", none, "--corners 600000 3560000 600100 3560100"),
      start_case("start_place_without_area", none, "--corners 500010 3560000 500010 3560010"),
      start_case("start_place_of_an_unknown_system", none, "--corners 0 0 1 1 --corners-crs EPSG:999999"),
      start_case(
          "start_block_too_short",
          file_is("streets.geojson", streets_of("LineString", fmt::format("[{},{}]", SmallStudy::at(5, 0),
                                                                          SmallStudy::at(20, 0))))),
      start_case("start_rain_of_another_kind", none, "--two-year-1h 22"),
      start_case("start_cuts_without_coordinates", file_is("points.csv", "id,east\nA,1\n"),
                 "--cuts points.csv"),
      start_case("start_layer_unknown", none, "--layer streets=lanes"),
  };
}

std::vector<Broken> place_cases() {
  const auto place = [](const std::string& lines) {
    return study_edit("[rain]", "[place]\n" + lines + "\n[rain]");
  };
  return {
      {"place_of_three_sides", place("west = 500000\nsouth = 3560000\neast = 500020")},
      {"place_turned_round", place("west = 500020\nsouth = 3560000\neast = 500000\nnorth = 3560020")},
      {"place_outside_the_elevation",
       place("west = 600000\nsouth = 3560000\neast = 600020\nnorth = 3560020")},
      {"place_of_an_unknown_system",
       place("west = 0\nsouth = 0\neast = 1\nnorth = 1\ncrs = \"EPSG:999999\"")},
      {"place_area_missing", place("[place.area]\nfile = \"area.gpkg\"")},
      {"place_margin_out_of_range",
       place("west = 500000\nsouth = 3560000\neast = 500020\nnorth = 3560020\nmargin = \"-1 m\"")},
      {"place_without_the_cuts",
       place("west = 500025\nsouth = 3560000\neast = 500030\nnorth = 3560020\nmargin = \"0 m\"")},
  };
}

/// A study with this table of rules.
std::function<void(const TempFolder&)> rules(const std::string& rows) {
  return [=](const TempFolder& f) {
    f.write("rules.toml", "format = 1\n" + rows);
    edit(f, "study.toml", "[basin]", "[rules]\nfile = \"rules.toml\"\n[basin]");
  };
}
std::string rule(const std::string& id, const std::string& rest) {
  return fmt::format("[[rule]]\nid = \"{}\"\nsource = \"street code\"\n{}\n", id, rest);
}
/// A layer of things as a table of one row.
std::function<void(const TempFolder&)> thing(const std::string& part, const std::string& field,
                                             const std::string& value) {
  return [=](const TempFolder& f) {
    f.write("things.csv", fmt::format("id,x,y,{}\nT1,{},{},{}\n", field, SmallStudy::kWest_m + 10.0,
                                      SmallStudy::kMiddle_m, value));
    edit(f, "study.toml", "[basin]", fmt::format("[{}]\nfile = \"things.csv\"\n[basin]", part));
  };
}

std::vector<Broken> rule_cases() {
  return {
      {"rules_missing", study_edit("[basin]", "[rules]\nfile = \"rules.toml\"\n[basin]")},
      {"rules_unknown", rules(rule("biulding", "unit = \"ft\"\nlimit = 10")), "check study.toml", 1, ""},
      {"rules_unknown_key", rules(rule("building", "unit = \"ft\"\nlimitt = 10"))},
      {"rules_without_unit", rules(rule("building", "limit = 10"))},
      {"rules_wrong_unit", rules(rule("building", "unit = \"h\"\nlimit = 10"))},
      {"rules_look_at_beyond_limit", rules(rule("building", "unit = \"ft\"\nlimit = 10\nlook_at = 5"))},
      {"rules_twice", rules(rule("well", "on = false") + rule("well", "on = false"))},
      {"rules_without_source", rules("[[rule]]\nid = \"well\"\nunit = \"ft\"\nlimit = 10\n")},
      {"rules_under_which_no_basin_can_exist", rules(rule("side_slope", "unit = \"to 1\"\nlimit = 12"))},
      {"curb_space_of_an_unknown_kind", thing("street.curb_space", "kind", "parade")},
      {"well_without_its_words", thing("lots.wells", "kind", "pond")},
      {"tree_with_a_crown_without_unit", thing("trees.existing", "crown", "wide")},
      {"hydrant_without_a_place",
       [](const TempFolder& f) {
         f.write("things.csv", "id,x,y\nT1,,\n");
         edit(f, "study.toml", "[basin]", "[street.hydrants]\nfile = \"things.csv\"\n[basin]");
       }},
  };
}

std::vector<Broken> command_cases() {
  return {
      {"output_exists",
       [](const TempFolder& f) { f.write("out/manifest.json", "{\n  \"program\": \"curbshed\"\n}\n"); }},
      {"output_is_not_ours", file_is("out/photo.jpg", "cat"), "run study.toml --out out --overwrite", 1, ""},
      {"threads_of_the_environment", nothing, "check study.toml", 1, "CURBSHED_THREADS=many"},
      {"no_command", nothing, "", 2, ""},
      {"unknown_flag", nothing, "run study.toml --out out --fast", 2, ""},
      {"no_output", nothing, "run study.toml", 2, ""},
      {"no_threads", nothing, "run study.toml --out out --threads 0", 2, ""},
      {"unknown_units", nothing, "check study.toml --units imperial", 2, ""},
      {"quiet_and_verbose", nothing, "check study.toml -q -v", 2, ""},
  };
}

std::vector<Broken> all_cases() {
  std::vector<Broken> all;
  for (const auto& part :
       {study_cases(), ground_cases(), layer_cases(), centreline_cases(), cut_cases(), corner_cases(),
        field_cases(), level_cases(), drain_cases(), wall_cases(), existing_basin_cases(), start_cases(),
        place_cases(), rule_cases(), command_cases()}) {
    all.insert(all.end(), part.begin(), part.end());
  }
  return all;
}

/// "== name" before each message.
std::map<std::string, std::string> golden_messages(const std::string& path) {
  std::map<std::string, std::string> messages;
  std::istringstream lines(read_text(path));
  std::string name;
  for (std::string line; std::getline(lines, line);) {
    if (line.rfind("== ", 0) == 0) {
      name = line.substr(3);
      messages[name];
    } else {
      messages[name] += line + "\n";
    }
  }
  return messages;
}

class BrokenInputs : public ::testing::TestWithParam<Broken> {};

TEST_P(BrokenInputs, EndWithAMessageThatSaysWhatToDo) {
  const Broken& broken = GetParam();
  const TempFolder folder;
  SmallStudy::write(folder);
  broken.breaks(folder);
  const Ran ran = run_program(folder, broken.arguments, broken.environment);
  EXPECT_EQ(ran.exit_code, broken.exit_code) << ran.err;
  EXPECT_EQ(ran.out, "");
  EXPECT_FALSE(std::filesystem::exists(folder.file("out.partial")));
  EXPECT_FALSE(std::filesystem::exists(folder.file("out/cuts.csv")));
  const std::string path = std::string(CURBSHED_SOURCE_DIR) + "/tests/cli/broken_inputs_messages.txt";
  if (std::getenv("CURBSHED_WRITE_GOLDEN") != nullptr) {
    std::ofstream(path, std::ios::app) << "== " << broken.name << "\n" << ran.err;
    return;
  }
  static const std::map<std::string, std::string> golden = golden_messages(path);
  ASSERT_EQ(golden.count(broken.name), 1U) << "no golden message; met:\n" << ran.err;
  EXPECT_EQ(ran.err, golden.at(broken.name));
}

std::string name_of(const ::testing::TestParamInfo<Broken>& tested) { return tested.param.name; }

INSTANTIATE_TEST_SUITE_P(Each, BrokenInputs, ::testing::ValuesIn(all_cases()), name_of);

}  // namespace
}  // namespace curbshed::testing
