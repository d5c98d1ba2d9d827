// The study: everything a run is told, with units resolved to SI and the origin of each value.
#pragma once

#include "curbshed/base/geometry.hpp"

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace curbshed::study {

/// A feature written into the study itself, as [[street.cut]].
struct HandFeature {
  std::int64_t line = 0;
  std::map<std::string, std::string> values;  ///< our attribute → as text
};

/// A layer of the user's: which file, which layer in it, which features, and how their attributes are called.
struct LayerSource {
  std::string file;  ///< relative to the study file's folder unless absolute or /vsi…; "" = layer not given
  std::string layer;  ///< "" = the only layer
  std::string where;  ///< attribute filter in SQL, "" = all
  std::string crs;    ///< "EPSG:4326" and the like, over what the file says; "" = the file's, for CSV points
                      ///< the elevation's
  /// our attribute → the user's field and the unit of its numbers ("" = plain or text with its own unit)
  struct Field {
    std::string name;
    std::string unit;
  };
  std::map<std::string, Field> fields;
  std::map<std::string, std::string>
      classes;                    ///< their value → our value (surface classes, soil groups, curb kinds)
  std::vector<HandFeature> rows;  ///< further features, from the study; in its order
  bool given() const { return !file.empty() || !rows.empty(); }
};

/// The part of the elevation model that is read: a polygon or four corners, and a margin around.
struct PlaceSettings {
  LayerSource area;
  std::optional<double> west, south, east, north;  ///< in the units of `crs`; all four or none
  std::string crs;                                 ///< of the corners; "" = the elevation model's
  double margin_m = 50.0;
  double grow_limit_m = 500.0;  ///< farthest that a side moves out, beyond the margin
  bool given() const { return area.given() || west.has_value(); }
};

struct GroundSettings {
  std::string elevation;
  std::string height_unit;  ///< "" = from the file; else m, ft, usft
  double elevation_error_m = 0.03;
  double error_range_m = 5.0;
  double sag_least_area_m2 = 10.0;
  double sag_depth_errors = 3.0;
  double max_set_aside = 0.05;
};

struct StreetSettings {
  LayerSource curbs, pavement, centrelines, cuts, inlets, outfalls, flow_lines, corners, field, pipe_outlets,
      inlet_ratings, existing_basins, levels;
  LayerSource walks, driveways, ramps, hydrants, poles, meters, covers, buried_lines, overhead_wires,
      curb_space;
  double curb_height_m = 0.15;
  double rolled_height_m = 0.10;
  double lip_m = 0.025;
  double lowering_m = 0.10;
  double fade_m = 5.0;
  double snap_m = 3.0;
  double roughness = 0.016;
  double cross_slope = 0.02;
  double least_grade = 0.003;
  double inlet_length_m = 1.5;
  double inlet_clogging = 0.10;
  double grate_clogging = 0.50;
  bool inlets_blocked = false;
  double dry_area_m2 = 200.0;
  // Curbs from centrelines; widths are curb to curb.
  std::string default_class = "residential";
  double alley_width_m = 4.5;
  double residential_width_m = 10.0;
  double collector_width_m = 12.0;
  double arterial_width_m = 15.0;
  double return_radius_m = 4.5;
  double bulb_radius_m = 12.0;
  double section_spacing_m = 5.0;
  double section_reach_m = 12.0;
};

/// Section of gutters that do not bring their own.
struct GutterSettings {
  std::string section = "straight";  ///< straight | depressed | parabolic
  std::optional<double> width_m;     ///< of the dip
  std::optional<double> depression_m;
  std::optional<double> crown_height_m, half_width_m;  ///< of a parabola
};

/// Tanks of lots that do not bring their own values.
struct TankSettings {
  std::optional<double> size_m3;      ///< absent = no tank but those that lots bring
  std::optional<double> roof_share;   ///< of the lot's roof
  std::optional<double> start_share;  ///< how full before a storm
  double screen_loss = 0.0;
  double first_flush_m = 0.0;
  double flush_reset_s = 12.0 * 3600.0;
  double use_m3_s = 0.0;
  double basin_m3 = 0.0;
  double basin_floor_m2 = 0.0;
  double basin_infiltration_m_s = 0.0;
  std::string when = "there";  ///< "there": also in the base case; "new": with the cuts
};

struct LotSettings {
  LayerSource lots, buildings, surfaces, addresses, walls, wells;
  std::string default_surface = "yard_desert";
  double roof_connected = 0.0;
  double yard_paving_connected = 1.0;
  double wall_height_m = 1.5;
  TankSettings tank;
};

struct SoilSettings {
  LayerSource groups, hazards;
  std::string default_group = "C";
  std::string default_texture;        ///< "" = not known
  std::optional<double> saturation;   ///< share of the fillable pores that hold water when a storm begins
  std::string condition = "average";  ///< of curve numbers before a storm: "dry" | "average" | "wet"
  std::string losses = "curve_number";
  std::optional<double> horton_initial_m_s, horton_final_m_s, horton_decay_per_s;
  std::optional<double> coefficient;  ///< share of the rain that runs off open ground
};

struct StormSetting {
  std::string id;     ///< "common", "two_year", …
  std::string title;  ///< "10 mm in 1 h"
  double depth_m = 0.0;
  double duration_s = 3600.0;
  std::vector<double> shape;  ///< relative depth of each block; empty = centred peak
  std::string kind = "";      ///< "", a 24-hour type (I, IA, II, III), "alternating", "chicago"
  std::string table = "";     ///< depths by duration, of the last two; relative to the study's folder
  std::string column = "";    ///< of the table
  double peak_at = 0.5;       ///< chicago
};

struct RainSettings {
  double common_depth_m = 0.010;
  std::optional<double> two_year_1h_m;  ///< required
  std::optional<double> ten_year_1h_m;  ///< required
  std::vector<StormSetting> storms;     ///< further ones
  double block_s = 300.0;
  double step_s = 5.0;
  double after_s = 3.0 * 3600.0;  ///< simulated after the rain ends
  double sheet_limit_m = 30.0;
  double sheet_intensity_m_s = 0.0;  ///< 0 = the two-year hour's mean
  double least_slope = 0.002;
  double slope_way_m = 10.0;
  double dry_reset_s = 12.0 * 3600.0;
  std::vector<double> month_rain_m;  ///< twelve means, January first; empty = not given
  std::vector<double> wet_days;      ///< the same: days with rain
};

struct TreeSettings {
  LayerSource existing;
  std::vector<double> reference_et_m;  ///< twelve means, January first; empty = not given
  double plant_factor = 0.5;
  double crown_m = 6.0;  ///< diameter of a grown crown
  double spacing_m = 6.0;
};

/// Coefficients of openings. On grade: L_T = factor Q^… S^… (1/(n Sx))^…, E = 1 − (1 − L/L_T)^…, metres and
/// m³/s.
struct OpeningSettings {
  std::string edition;
  double length_factor = 0.817;
  double flow_power = 0.42;
  double grade_power = 0.3;
  double roughness_power = 0.6;
  double efficiency_power = 1.8;
  // With a pond before them, SI; PondedTable in chain_model.hpp.
  double weir = 1.60;
  double dipped_weir = 1.25;
  double orifice = 0.67;
  double hole = 0.6;
  std::optional<double> rim_weir;  ///< absent: critical flow
  double grate_weir = 1.66;
  double grate_orifice = 0.67;
  double slot_weir = 1.4;
  double slot_orifice = 0.8;
};

struct BasinSettings {
  double opening_m = 0.4572;  ///< 18 in
  double opening_clogging = 0.20;
  std::string opening_kind = "sawn";       ///< sawn | core
  std::optional<double> opening_height_m;  ///< absent: open-topped
  std::optional<double> core_diameter_m;
  double invert_rise_m = 0.0;  ///< of the invert over the gutter's flow line
  double dip_m = 0.0;          ///< of the gutter at the cut alone
  double dip_width_m = 0.4572;
  double length_m = 3.0;    ///< along the curb, at the water line
  double width_m = 1.5;     ///< square to it, at the water line
  double side_slope = 2.0;  ///< horizontal to one vertical
  double ponding_m = 0.15;  ///< below the cut's invert, from the top of the mulch
  double setback_m = 0.3;   ///< back of curb to the water line
  double mouth_at = 0.5;    ///< where the cut meets the basin: 0 its upstream end … 1 its downstream end
  double infiltration_m_s = 0.0;     ///< required: design rate on the floor
  double safety_factor = 1.0;        ///< every rate is divided by it
  std::string soaks_over = "floor";  ///< "floor" | "wetted"
  double evaporation_m_s = 0.0;
  double mulch_voids = 0.0;
  std::string kind = "beside";          ///< beside | through | in line
  std::optional<double> outlet_m;       ///< of the second cut; absent: as the first
  std::optional<double> outlet_drop_m;  ///< its invert under the first's; absent: as the gutter falls
  std::string floor = "level";          ///< level | falling
  double check_dams = 0.0;              ///< a whole number
  double dam_thickness_m = 0.3;
  double start_share = 0.0;         ///< how full the basins are when a storm begins
  std::string infiltration_origin;  ///< measured | study | soil map; required
};

/// What a basin needs across and along the strip besides floor and slopes, and what it is made of.
struct RoomSettings {
  double drop_m = 0.0508;
  double least_floor_m = 0.45;
  double back_of_curb_m = 0.3048;
  double step_out_m = 0.4572;
  double shelf_m = 0.3048;
  double least_ponding_m = 0.0762;
  double least_length_m = 2.4384;
  double channel_height_m = 0.10;
  double channel_cover_m = 0.025;
  double channel_fall = 0.01;
  double channel_longest_m = 3.0;
  double mulch_m = 0.0762;
  double bulking = 0.25;
  double stone_length_m = 0.6;
  double stone_depth_m = 0.15;
  double plant_spacing_m = 0.6;
};

/// Places for further cuts, looked for along every curb.
struct CandidateSettings {
  bool on = false;
  double spacing_m = 15.0;
  double from_corner_m = 9.144;
  double from_driveway_m = 0.9144;
  double from_inlet_m = 3.0;
  bool behind_walk = true;
  bool bulb = true;
  std::optional<double>
      parking_lane_m;  ///< width of the parking lane along every curb; absent = none is told
};

/// Prices; none has a default. `per` says whose units: cubic metres … or cubic yards, square feet, feet.
struct MoneySettings {
  std::string currency;  ///< a plain word
  std::string per = "metric";
  std::optional<double> soil, stone, mulch, plant, curb_cut, channel, pavement, site;
};

struct RulesSettings {
  std::string file;  ///< relative to the study's folder; "" = the built-in rules
  bool every_row = false;
};

/// Which cuts to build; nothing is chosen without one of the first three.
struct ChooseSettings {
  std::optional<double> count, money, digging_m3;
  std::optional<double> per_block;       ///< at most this many on one side of one block
  double spacing_m = 0.0;                ///< along the curb, at least
  std::vector<std::string> must, never;  ///< ids of sites, or "12 Kiln Street" for all in front of that house
  std::string aim;                       ///< captured | peak | both
  std::string storm;                     ///< id of the storm that counts
  std::string outfall;                   ///< whose peak; "" = all ends below cuts, added up one by one
  double peak_part = 0.5;                ///< of `both`
  LayerSource weights;                   ///< ground where kept water counts more or less
  bool asked() const { return count || money || digging_m3; }
};

struct PageSettings {
  std::string units;  ///< "metric", "us"; "" = those of the reference system
};

struct Settings {
  std::string file;    ///< study file as given
  std::string folder;  ///< its folder
  std::string title;
  PlaceSettings place;
  GroundSettings ground;
  StreetSettings street;
  GutterSettings gutter;
  LotSettings lots;
  RainSettings rain;
  SoilSettings soil;
  OpeningSettings opening;
  BasinSettings basin;
  RoomSettings room;
  CandidateSettings candidates;
  TreeSettings trees;
  MoneySettings money;
  RulesSettings rules;
  ChooseSettings choose;
  PageSettings page;
  std::map<std::string, std::string>
      origin;  ///< "basin.length" → "study" | "assumed" | "default" | "flag" | "environment"
  std::map<std::string, std::string> written;  ///< "basin.length" → "10 ft", as in the study or the key table
};

/// Twelve months of rain, wet days and reference evapotranspiration are given.
bool has_months(const Settings& settings);

/// A measure of the study that ends in this word ("20 mm assumed") is a placeholder: it counts, its origin is
/// "assumed", and every output says so until the word is taken away.
inline constexpr std::string_view kAssumed = "assumed";
/// Names of the keys whose origin is "assumed", sorted: "rain.two_year_1h".
std::vector<std::string> assumed_keys(const Settings& settings);

/// Reads and checks a study. Throws InputError with file and line for TOML errors, unknown keys (with the
/// nearest known one), wrong types, missing units, values out of range, missing required keys.
Settings read_study(const std::string& path);

/// Version of toml++, "3.3.0".
std::string toml_library_version();

}  // namespace curbshed::study
