#include "curbshed/study/study_keys.hpp"

#include "curbshed/water/soils.hpp"
#include "curbshed/water/surfaces.hpp"

#include "study/class_words.hpp"

namespace curbshed::study {

std::vector<std::string_view> street_classes() {
  return {"alley", "residential", "collector", "arterial", "cul_de_sac"};
}

std::vector<std::string_view> surface_names() {
  std::vector<std::string_view> names;
  for (const water::SurfaceClass& row : water::surface_classes()) {
    names.push_back(row.name);
  }
  return names;
}

std::vector<std::string_view> texture_names() {
  std::vector<std::string_view> names;
  for (const water::SoilTexture& row : water::soil_textures()) {
    names.push_back(row.name);
  }
  return names;
}

namespace {

using base::Dimension;
using enum base::Dimension;

using Words = std::string* (*)(Settings&);

StudyKey measure(std::string_view part, std::string_view name, Dimension dimension, std::string_view fallback,
                 std::string_view least, std::string_view most, std::string_view doc, KeySlot slot) {
  StudyKey key;
  key.part = part;
  key.name = name;
  key.form = KeyForm::Measure;
  key.dimension = dimension;
  key.fallback = fallback;
  key.least = least;
  key.most = most;
  key.doc = doc;
  key.slot = slot;
  return key;
}

StudyKey words(std::string_view part, std::string_view name, std::string_view fallback, std::string_view doc,
               Words slot) {
  StudyKey key;
  key.part = part;
  key.name = name;
  key.form = KeyForm::Text;
  key.fallback = fallback;
  key.doc = doc;
  key.slot = slot;
  return key;
}

StudyKey choice(std::string_view part, std::string_view name, std::string_view fallback,
                std::vector<std::string_view> choices, std::string_view doc, Words slot) {
  StudyKey key = words(part, name, fallback, doc, slot);
  key.form = KeyForm::Choice;
  key.choices = std::move(choices);
  return key;
}

StudyKey months(std::string_view part, std::string_view name, Dimension dimension, std::string_view least,
                std::string_view most, std::string_view doc, std::vector<double>* (*slot)(Settings&)) {
  StudyKey key = measure(part, name, dimension, "", least, most, doc, slot);
  key.form = KeyForm::Months;
  return key;
}

StudyKey on_off(std::string_view part, std::string_view name, std::string_view fallback, std::string_view doc,
                bool* (*slot)(Settings&)) {
  StudyKey key;
  key.part = part;
  key.name = name;
  key.form = KeyForm::Switch;
  key.fallback = fallback;
  key.doc = doc;
  key.slot = slot;
  return key;
}

StudyKey required(StudyKey key) {
  key.required = true;
  return key;
}

void add_place(std::vector<StudyKey>& keys) {
  const std::string_view part = "place";
  const auto corner = [&](std::string_view name, std::string_view doc,
                          std::optional<double>* (*slot)(Settings&)) {
    keys.push_back(measure(part, name, Plain, "", "-100000000", "100000000", doc, slot));
  };
  corner("west", "Western side of the place, as a number in the system of `crs`; all four sides or none.",
         [](Settings& s) { return &s.place.west; });
  corner("south", "Southern side.", [](Settings& s) { return &s.place.south; });
  corner("east", "Eastern side.", [](Settings& s) { return &s.place.east; });
  corner("north", "Northern side.", [](Settings& s) { return &s.place.north; });
  keys.push_back(words(part, "crs", "",
                       "System of the four sides: `EPSG:4326` for longitude and latitude; without it the "
                       "elevation model's.",
                       [](Settings& s) { return &s.place.crs; }));
  keys.push_back(measure(part, "margin", Length, "50 m", "0 m", "5000 m",
                         "Ground around the place that is read as well.",
                         [](Settings& s) { return &s.place.margin_m; }));
  keys.push_back(measure(part, "grow_limit", Length, "500 m", "0 m", "20000 m",
                         "A side where the water of a cut comes in over the edge moves out until that ends, "
                         "at most by this much beyond the margin.",
                         [](Settings& s) { return &s.place.grow_limit_m; }));
}

void add_ground(std::vector<StudyKey>& keys) {
  const std::string_view part = "ground";
  keys.push_back(required(
      words(part, "elevation", "",
            "Raster of bare-earth heights in a projected reference system; any file that GDAL opens.",
            [](Settings& s) { return &s.ground.elevation; })));
  keys.push_back(choice(part, "height_unit", "", {"m", "ft", "usft"},
                        "Unit of the heights; needed only when the file does not say it.",
                        [](Settings& s) { return &s.ground.height_unit; }));
  keys.push_back(measure(part, "elevation_error", Length, "3 cm", "1 mm", "1 m",
                         "Standard error of the heights between neighbouring places.",
                         [](Settings& s) { return &s.ground.elevation_error_m; }));
  keys.push_back(measure(part, "error_range", Length, "5 m", "0.1 m", "100 m",
                         "Distance over which errors of the heights are alike.",
                         [](Settings& s) { return &s.ground.error_range_m; }));
  keys.push_back(measure(part, "sag_least_area", Area, "10 m2", "0 m2", "10000 m2",
                         "A hollow smaller than this is passed through, not kept as a sag.",
                         [](Settings& s) { return &s.ground.sag_least_area_m2; }));
  keys.push_back(measure(part, "sag_depth_errors", Plain, "3", "0", "100",
                         "A hollow is kept as a sag from this many elevation errors of depth.",
                         [](Settings& s) { return &s.ground.sag_depth_errors; }));
  keys.push_back(measure(part, "max_set_aside", Plain, "5 %", "0", "1",
                         "Share of a layer's features that may be set aside before the run stops.",
                         [](Settings& s) { return &s.ground.max_set_aside; }));
}

/// Common practice, no source: what a mistake in the ground or a drain that nobody drew can well hide.
StudyKey dry_area_key() {
  return measure("street", "dry_area", Area, "200 m2", "0 m2", "1000000 m2",
                 "A place where no water was seen ([street.field]) although at least this much ground should "
                 "drain to it is reported first.",
                 [](Settings& s) { return &s.street.dry_area_m2; });
}

void add_street(std::vector<StudyKey>& keys) {
  const std::string_view part = "street";
  keys.push_back(measure(part, "curb_height", Length, "15 cm", "0 cm", "60 cm",
                         "Height of a vertical curb that brings none of its own.",
                         [](Settings& s) { return &s.street.curb_height_m; }));
  keys.push_back(measure(part, "rolled_height", Length, "10 cm", "0 cm", "60 cm",
                         "Height of a rolled curb that brings none of its own.",
                         [](Settings& s) { return &s.street.rolled_height_m; }));
  keys.push_back(measure(part, "lip", Length, "25 mm", "0 mm", "20 cm",
                         "Least rise of a driveway, ramp or other gap above the gutter.",
                         [](Settings& s) { return &s.street.lip_m; }));
  keys.push_back(measure(part, "lowering", Length, "10 cm", "0 cm", "50 cm",
                         "Gutters are lowered by this much to find directions; no level is read from it.",
                         [](Settings& s) { return &s.street.lowering_m; }));
  keys.push_back(measure(part, "fade", Length, "5 m", "0.5 m", "50 m",
                         "Length over which the lowering fades at the free end of a curb.",
                         [](Settings& s) { return &s.street.fade_m; }));
  keys.push_back(measure(part, "snap", Length, "3 m", "0 m", "30 m",
                         "Farthest that a cut, inlet or outfall is moved to its gutter.",
                         [](Settings& s) { return &s.street.snap_m; }));
  keys.push_back(measure(part, "roughness", Plain, "0.016", "0.008", "0.05",
                         "Manning roughness n of gutter and pavement.",
                         [](Settings& s) { return &s.street.roughness; }));
  keys.push_back(measure(part, "cross_slope", Slope, "2 %", "0.2 %", "15 %",
                         "Cross slope where none can be fitted to the heights.",
                         [](Settings& s) { return &s.street.cross_slope; }));
  keys.push_back(measure(part, "least_grade", Slope, "0.3 %", "0.05 %", "2 %",
                         "Least grade that the formula for openings on a grade is used with.",
                         [](Settings& s) { return &s.street.least_grade; }));
  keys.push_back(measure(part, "inlet_length", Length, "1.5 m", "0.1 m", "20 m",
                         "Opening of a drain inlet that brings none of its own.",
                         [](Settings& s) { return &s.street.inlet_length_m; }));
  keys.push_back(measure(part, "inlet_clogging", Plain, "0.10", "0", "1",
                         "Share of an inlet's opening taken as clogged where the inlet does not say.",
                         [](Settings& s) { return &s.street.inlet_clogging; }));
  // 10 % and 50 %: Denver-area criteria for a single inlet (from memory).
  keys.push_back(measure(part, "grate_clogging", Plain, "0.50", "0", "1", "The same for a grate.",
                         [](Settings& s) { return &s.street.grate_clogging; }));
  keys.push_back(on_off(part, "inlets_blocked", "false", "true: run as if every drain inlet were blocked.",
                        [](Settings& s) { return &s.street.inlets_blocked; }));
  keys.push_back(dry_area_key());
}

/// Widths, radii: common practice, no source.
void add_centrelines(std::vector<StudyKey>& keys) {
  const std::string_view part = "street";
  keys.push_back(choice(part, "default_class", "residential", street_classes(),
                        "Class of a centreline that brings none of its own.",
                        [](Settings& s) { return &s.street.default_class; }));
  keys.push_back(measure(part, "alley_width", Length, "4.5 m", "2 m", "60 m",
                         "Curb to curb, where neither centreline nor ground tells: alleys.",
                         [](Settings& s) { return &s.street.alley_width_m; }));
  keys.push_back(measure(part, "residential_width", Length, "10 m", "2 m", "60 m",
                         "Curb to curb, where neither centreline nor ground tells: residential streets.",
                         [](Settings& s) { return &s.street.residential_width_m; }));
  keys.push_back(measure(part, "collector_width", Length, "12 m", "2 m", "60 m",
                         "Curb to curb, where neither centreline nor ground tells: collector streets.",
                         [](Settings& s) { return &s.street.collector_width_m; }));
  keys.push_back(measure(part, "arterial_width", Length, "15 m", "2 m", "60 m",
                         "Curb to curb, where neither centreline nor ground tells: arterial streets.",
                         [](Settings& s) { return &s.street.arterial_width_m; }));
  keys.push_back(measure(part, "return_radius", Length, "4.5 m", "0 m", "15 m",
                         "Radius of the curb at street corners, for curbs made from centrelines.",
                         [](Settings& s) { return &s.street.return_radius_m; }));
  keys.push_back(measure(part, "bulb_radius", Length, "12 m", "4 m", "30 m",
                         "Radius of the round end of a cul-de-sac where the ground does not tell it.",
                         [](Settings& s) { return &s.street.bulb_radius_m; }));
  keys.push_back(measure(part, "section_spacing", Length, "5 m", "1 m", "50 m",
                         "Cross-sections of the ground that look for curbs are this far apart.",
                         [](Settings& s) { return &s.street.section_spacing_m; }));
  keys.push_back(measure(part, "section_reach", Length, "12 m", "5 m", "40 m",
                         "Cross-sections reach this far to each side of the centreline.",
                         [](Settings& s) { return &s.street.section_reach_m; }));
}

void add_gutter(std::vector<StudyKey>& keys) {
  const std::string_view part = "gutter";
  keys.push_back(choice(part, "section", "straight", {"straight", "depressed", "parabolic"},
                        "Section of gutters whose curb or centreline does not say it: one cross slope, a dip "
                        "at the curb, or a crown that is a parabola.",
                        [](Settings& s) { return &s.gutter.section; }));
  keys.push_back(measure(part, "width", Length, "", "10 cm", "3 m",
                         "Width of the dip from the curb face; for `depressed`.",
                         [](Settings& s) { return &s.gutter.width_m; }));
  keys.push_back(measure(part, "depression", Length, "", "1 mm", "30 cm",
                         "How far the flow line lies under the pavement's own line at the curb; for "
                         "`depressed`. Curb heights and levels count from the pavement's line.",
                         [](Settings& s) { return &s.gutter.depression_m; }));
  keys.push_back(
      measure(part, "crown_height", Length, "", "1 cm", "1 m",
              "Crown over the foot of the curb; for `parabolic`. Without it the cross slope, 1.5 m "
              "from the curb, tells it.",
              [](Settings& s) { return &s.gutter.crown_height_m; }));
  keys.push_back(measure(part, "half_width", Length, "", "1 m", "50 m",
                         "From the curb to the crown; for `parabolic`. Without it half of the width of the "
                         "street's block counts, where centrelines tell it.",
                         [](Settings& s) { return &s.gutter.half_width_m; }));
}

void add_lots_and_soil(std::vector<StudyKey>& keys) {
  keys.push_back(choice("lots", "default_surface", "yard_desert", surface_names(),
                        "Surface class of ground that no layer covers.",
                        [](Settings& s) { return &s.lots.default_surface; }));
  keys.push_back(measure("lots", "roof_connected", Plain, "0", "0", "1",
                         "Share of roof runoff that goes straight on to the street instead of onto the yard.",
                         [](Settings& s) { return &s.lots.roof_connected; }));
  keys.push_back(measure("lots", "yard_paving_connected", Plain, "1", "0", "1",
                         "Share of the runoff of paved yards that goes straight on to the street.",
                         [](Settings& s) { return &s.lots.yard_paving_connected; }));
  keys.push_back(measure("lots", "wall_height", Length, "1.5 m", "5 cm", "10 m",
                         "Height of a yard wall that brings none of its own (common practice, no source).",
                         [](Settings& s) { return &s.lots.wall_height_m; }));
  keys.push_back(choice("soil", "default_group", "C", {"A", "B", "C", "D"},
                        "Hydrologic soil group of ground that no soil layer covers.",
                        [](Settings& s) { return &s.soil.default_group; }));
  keys.push_back(choice("soil", "default_texture", "", texture_names(),
                        "Soil texture of ground that no soil layer covers; for Green-Ampt.",
                        [](Settings& s) { return &s.soil.default_texture; }));
  keys.push_back(measure(
      "soil", "saturation", Plain, "", "0", "1",
      "Share of the soil's fillable pores that hold water when a storm begins; needed with a texture.",
      [](Settings& s) { return &s.soil.saturation; }));
  keys.push_back(
      choice("soil", "losses", "curve_number",
             {"curve_number", "curve_number_005", "green_ampt", "horton", "coefficient"},
             "How open ground loses water. With `curve_number`, rains shorter than an hour are taken by "
             "`green_ampt` where the texture is known.",
             [](Settings& s) { return &s.soil.losses; }));
  keys.push_back(
      choice("soil", "condition", "average", {"dry", "average", "wet"},
             "How moist open ground is before a storm, for curve numbers (antecedent runoff condition "
             "I, II, III); with Green-Ampt `saturation` says it.",
             [](Settings& s) { return &s.soil.condition; }));
  keys.push_back(measure("soil", "horton_initial", Rate, "", "0 mm/h", "1000 mm/h",
                         "Rate at which dry open ground takes water; for `horton`.",
                         [](Settings& s) { return &s.soil.horton_initial_m_s; }));
  keys.push_back(measure("soil", "horton_final", Rate, "", "0 mm/h", "1000 mm/h",
                         "Rate at which wet open ground takes water; for `horton`.",
                         [](Settings& s) { return &s.soil.horton_final_m_s; }));
  keys.push_back(measure("soil", "horton_decay", Decay, "", "0.01 1/h", "100 1/h",
                         "How fast the one falls to the other; for `horton`.",
                         [](Settings& s) { return &s.soil.horton_decay_per_s; }));
  keys.push_back(measure("soil", "coefficient", Plain, "", "0", "1",
                         "Share of the rain that runs off open ground; for `coefficient`.",
                         [](Settings& s) { return &s.soil.coefficient; }));
}

/// No size, share or level is a default: trade numbers for them have no source.
void add_tanks(std::vector<StudyKey>& keys) {
  const std::string_view part = "lots.tank";
  keys.push_back(measure(part, "size", Volume, "", "0 L", "1000 m3",
                         "Rain tank of every lot with a roof, for example `5 m3`. Without it only the lots "
                         "that bring their own `tank` have one.",
                         [](Settings& s) { return &s.lots.tank.size_m3; }));
  keys.push_back(measure(part, "roof_share", Plain, "", "0", "1",
                         "Share of a lot's roof that is led to its tank; needed with a tank.",
                         [](Settings& s) { return &s.lots.tank.roof_share; }));
  keys.push_back(measure(part, "start", Plain, "", "0", "1",
                         "How full a tank is when a storm begins: 0 empty, 1 full; needed with a tank.",
                         [](Settings& s) { return &s.lots.tank.start_share; }));
  keys.push_back(measure(part, "screen_loss", Plain, "0", "0", "1",
                         "Share of the water that goes over the leaf screen and is lost on the lot.",
                         [](Settings& s) { return &s.lots.tank.screen_loss; }));
  keys.push_back(
      measure(part, "first_flush", Length, "0 mm", "0 mm", "20 mm",
              "Depth over the roof that is kept out of the tank at the start of a rain and is lost "
              "on the lot; 0.5 to 2 mm in Indian standards IS 15998 and IS 11082 (second hand).",
              [](Settings& s) { return &s.lots.tank.first_flush_m; }));
  keys.push_back(measure(part, "flush_reset", Duration, "12 h", "1 h", "240 h",
                         "Dry time after which the first flush is taken anew.",
                         [](Settings& s) { return &s.lots.tank.flush_reset_s; }));
  keys.push_back(measure(part, "use", Flow, "0 L/day", "0 L/day", "10 m3/day",
                         "What is drawn from each tank.", [](Settings& s) { return &s.lots.tank.use_m3_s; }));
  keys.push_back(measure(part, "basin_volume", Volume, "0 L", "0 L", "1000 m3",
                         "Basin on the lot that takes what runs over the tank; what does not fit goes to the "
                         "street by the roof's own way.",
                         [](Settings& s) { return &s.lots.tank.basin_m3; }));
  keys.push_back(measure(part, "basin_floor", Area, "0 m2", "0 m2", "10000 m2", "Floor of that basin.",
                         [](Settings& s) { return &s.lots.tank.basin_floor_m2; }));
  keys.push_back(measure(part, "basin_infiltration", Rate, "0 mm/h", "0 mm/h", "1000 mm/h",
                         "Design rate at which water soaks into that floor.",
                         [](Settings& s) { return &s.lots.tank.basin_infiltration_m_s; }));
  keys.push_back(choice(part, "when", "there", {"there", "new"},
                        "`there`: the tanks also stand in the case without cuts. `new`: they come with the "
                        "cuts, and the difference is that of both.",
                        [](Settings& s) { return &s.lots.tank.when; }));
}

void add_rain(std::vector<StudyKey>& keys) {
  const std::string_view part = "rain";
  keys.push_back(measure(part, "common_depth", Length, "10 mm", "1 mm", "200 mm",
                         "Rain of the common small storm, in one hour.",
                         [](Settings& s) { return &s.rain.common_depth_m; }));
  keys.push_back(required(measure(part, "two_year_1h", Length, "", "1 mm", "300 mm",
                                  "Rain of the 2-year, 1-hour storm; read it from the published "
                                  "precipitation-frequency table of the place.",
                                  [](Settings& s) { return &s.rain.two_year_1h_m; })));
  keys.push_back(required(measure(part, "ten_year_1h", Length, "", "1 mm", "300 mm",
                                  "Rain of the 10-year, 1-hour storm; read it from the published "
                                  "precipitation-frequency table of the place.",
                                  [](Settings& s) { return &s.rain.ten_year_1h_m; })));
  keys.push_back(measure(part, "block", Duration, "5 min", "1 min", "60 min",
                         "Length of the blocks of a default storm.",
                         [](Settings& s) { return &s.rain.block_s; }));
  keys.push_back(measure(part, "step", Duration, "5 s", "1 s", "60 s", "Time step of the storm run.",
                         [](Settings& s) { return &s.rain.step_s; }));
  keys.push_back(measure(part, "after", Duration, "3 h", "10 min", "48 h",
                         "Time that is followed after the rain ends.",
                         [](Settings& s) { return &s.rain.after_s; }));
  keys.push_back(measure(part, "sheet_limit", Length, "30 m", "5 m", "100 m",
                         "Longest way of sheet flow; farther on water runs in shallow rills.",
                         [](Settings& s) { return &s.rain.sheet_limit_m; }));
  keys.push_back(measure(part, "sheet_intensity", Rate, "0 mm/h", "0 mm/h", "300 mm/h",
                         "Rain intensity for the time of sheet flow; 0 takes the mean of the 2-year hour.",
                         [](Settings& s) { return &s.rain.sheet_intensity_m_s; }));
  keys.push_back(measure(part, "least_slope", Slope, "0.2 %", "0.01 %", "2 %",
                         "Least slope for the time of travel.",
                         [](Settings& s) { return &s.rain.least_slope; }));
  keys.push_back(measure(part, "slope_way", Length, "10 m", "1 m", "100 m",
                         "Slopes for the time of travel are falls over at least this much of the way.",
                         [](Settings& s) { return &s.rain.slope_way_m; }));
  keys.push_back(measure(part, "dry_reset", Duration, "12 h", "1 h", "240 h",
                         "Dry time after which the ground takes its first losses anew.",
                         [](Settings& s) { return &s.rain.dry_reset_s; }));
  keys.push_back(months(part, "month_rain", Length, "0 mm", "2000 mm",
                        "Mean rain of each month, January first: for the water of a typical year.",
                        [](Settings& s) { return &s.rain.month_rain_m; }));
  keys.push_back(months(part, "wet_days", Plain, "0", "31", "Mean number of days with rain in each month.",
                        [](Settings& s) { return &s.rain.wet_days; }));
}

void add_storm(std::vector<StudyKey>& keys) {
  const std::string_view part = "rain.storm";
  keys.push_back(required(words(
      part, "id", "", "Short name for files: small letters, digits and _; not common, two_year or ten_year.",
      [](Settings& s) { return &s.rain.storms.back().id; })));
  keys.push_back(words(part, "title", "", "Name for people; without it depth and duration are the name.",
                       [](Settings& s) { return &s.rain.storms.back().title; }));
  keys.push_back(measure(part, "depth", Length, "", "0.1 mm", "1 m",
                         "Rain of the whole storm; needed unless it comes from a `table`.",
                         [](Settings& s) { return &s.rain.storms.back().depth_m; }));
  keys.push_back(measure(part, "duration", Duration, "1 h", "5 min", "24 h",
                         "From the first to the last rain.",
                         [](Settings& s) { return &s.rain.storms.back().duration_s; }));
  StudyKey shape;
  shape.part = part;
  shape.name = "shape";
  shape.form = KeyForm::Numbers;
  shape.doc = "Relative depth of equal blocks of the duration; without it the peak is in the middle.";
  shape.slot = [](Settings& s) { return &s.rain.storms.back().shape; };
  keys.push_back(shape);
  keys.push_back(choice(
      part, "kind", "", {"I", "IA", "II", "III", "alternating", "chicago"},
      "`I` to `III`: a day-long rain in the 24-hour shape of the NRCS. `alternating`, `chicago`: made from "
      "the depths by duration of `table`. Without it a burst with its peak in the middle.",
      [](Settings& s) { return &s.rain.storms.back().kind; }));
  keys.push_back(
      words(part, "table", "",
            "CSV of depths or mean rates by duration, with columns such as `duration_min`, `2yr_mm`, "
            "`10yr_in_h`.",
            [](Settings& s) { return &s.rain.storms.back().table; }));
  keys.push_back(words(part, "column", "", "Which column of the table: `2yr`.",
                       [](Settings& s) { return &s.rain.storms.back().column; }));
  keys.push_back(measure(part, "peak_at", Plain, "0.5", "0", "1",
                         "Share of a `chicago` storm before its peak.",
                         [](Settings& s) { return &s.rain.storms.back().peak_at; }));
}

/// Editions change: the coefficients can be set, under a label of their own.
void add_opening(std::vector<StudyKey>& keys) {
  const std::string_view part = "opening";
  keys.push_back(words(part, "edition", kOpeningEdition,
                       "Where the coefficients come from; say so when you change one.",
                       [](Settings& s) { return &s.opening.edition; }));
  keys.push_back(
      measure(part, "length_factor", Plain, "0.817", "0.01", "10",
              "Factor of the length that takes all, in metres and m³/s: L = factor Q^a S^b (1/(n Sx))^c.",
              [](Settings& s) { return &s.opening.length_factor; }));
  keys.push_back(measure(part, "flow_power", Plain, "0.42", "0", "0.99", "a of that length.",
                         [](Settings& s) { return &s.opening.flow_power; }));
  keys.push_back(measure(part, "grade_power", Plain, "0.3", "0", "2", "b of that length.",
                         [](Settings& s) { return &s.opening.grade_power; }));
  keys.push_back(measure(part, "roughness_power", Plain, "0.6", "0", "2", "c of that length.",
                         [](Settings& s) { return &s.opening.roughness_power; }));
  keys.push_back(measure(part, "efficiency_power", Plain, "1.8", "1", "5",
                         "Power of the share that an opening takes: E = 1 − (1 − length / L)^power.",
                         [](Settings& s) { return &s.opening.efficiency_power; }));
  const auto ponded = [&](std::string_view name, std::string_view fallback, std::string_view doc,
                          double* (*slot)(Settings&)) {
    keys.push_back(measure(part, name, Plain, fallback, "0.1", "5", doc, slot));
  };
  ponded("weir", "1.60", "In a sag, and the mouth of a basin: weir = this × length × depth^1.5 (m, m³/s).",
         [](Settings& s) { return &s.opening.weir; });
  ponded("dipped_weir", "1.25", "The same at a dip: this × (length + 1.8 width of the dip) × depth^1.5.",
         [](Settings& s) { return &s.opening.dipped_weir; });
  ponded("orifice", "0.67", "Under a slab: this × height × length × √(2 g head).",
         [](Settings& s) { return &s.opening.orifice; });
  ponded("hole", "0.6", "Cored round hole: share of the speed of its head on every strip.",
         [](Settings& s) { return &s.opening.hole; });
  keys.push_back(measure(part, "rim_weir", Plain, "", "0.1", "5",
                         "Over rims and out of sags: this × width × depth^1.5; without it critical flow over "
                         "a broad crest, 1.705.",
                         [](Settings& s) { return &s.opening.rim_weir; }));
  ponded("grate_weir", "1.66", "Grate in a sag: this × perimeter × depth^1.5.",
         [](Settings& s) { return &s.opening.grate_weir; });
  ponded("grate_orifice", "0.67", "Grate in a sag, covered: this × open area × √(2 g depth).",
         [](Settings& s) { return &s.opening.grate_orifice; });
  ponded("slot_weir", "1.4", "Slotted drain in a sag: this × length × depth^1.5.",
         [](Settings& s) { return &s.opening.slot_weir; });
  ponded("slot_orifice", "0.8", "Slotted drain in a sag, covered: this × area × √(2 g depth).",
         [](Settings& s) { return &s.opening.slot_orifice; });
}

/// Dip at a cut, 1 in over 18 in where one was built: a city's standard drawing, second hand.
void add_cut_kind(std::vector<StudyKey>& keys) {
  const std::string_view part = "basin";
  keys.push_back(choice(part, "opening_kind", "sawn", {"sawn", "core"},
                        "sawn: through the whole curb. core: a round hole through it.",
                        [](Settings& s) { return &s.basin.opening_kind; }));
  keys.push_back(measure(part, "opening_height", Length, "", "1 cm", "60 cm",
                         "Height of the opening under its slab; without it a sawn cut is open at the top.",
                         [](Settings& s) { return &s.basin.opening_height_m; }));
  keys.push_back(measure(part, "core_diameter", Length, "", "1 cm", "60 cm",
                         "Diameter of the hole of a `core`; counts instead of `opening`.",
                         [](Settings& s) { return &s.basin.core_diameter_m; }));
  keys.push_back(measure(part, "invert_rise", Length, "0 cm", "0 cm", "30 cm",
                         "Height of the opening's lowest point over the gutter's flow line.",
                         [](Settings& s) { return &s.basin.invert_rise_m; }));
  keys.push_back(measure(part, "dip", Length, "0 cm", "0 cm", "15 cm",
                         "How far the gutter is dipped at the cut alone; a dip means sawing out pavement.",
                         [](Settings& s) { return &s.basin.dip_m; }));
  keys.push_back(measure(part, "dip_width", Length, "18 in", "10 cm", "3 m",
                         "Width of that dip from the curb; a depressed gutter's own width counts before it.",
                         [](Settings& s) { return &s.basin.dip_width_m; }));
}

void add_basin(std::vector<StudyKey>& keys) {
  const std::string_view part = "basin";
  keys.push_back(measure(part, "opening", Length, "18 in", "0 in", "20 m", "Length of the cut in the curb.",
                         [](Settings& s) { return &s.basin.opening_m; }));
  keys.push_back(measure(part, "opening_clogging", Plain, "0.20", "0", "1",
                         "Share of the cut taken as clogged.",
                         [](Settings& s) { return &s.basin.opening_clogging; }));
  add_cut_kind(keys);
  keys.push_back(measure(part, "length", Length, "3 m", "0.3 m", "100 m",
                         "Water line of the basin along the curb.",
                         [](Settings& s) { return &s.basin.length_m; }));
  keys.push_back(measure(part, "width", Length, "1.5 m", "0.3 m", "30 m",
                         "Water line of the basin square to the curb.",
                         [](Settings& s) { return &s.basin.width_m; }));
  keys.push_back(measure(part, "side_slope", Plain, "2", "0", "10", "Horizontal to one vertical.",
                         [](Settings& s) { return &s.basin.side_slope; }));
  keys.push_back(measure(part, "ponding", Length, "15 cm", "1 cm", "1 m",
                         "Depth from the invert of the cut down to the top of the mulch.",
                         [](Settings& s) { return &s.basin.ponding_m; }));
  keys.push_back(measure(part, "setback", Length, "30 cm", "0 cm", "10 m",
                         "From the back of the curb to the water line.",
                         [](Settings& s) { return &s.basin.setback_m; }));
  keys.push_back(
      measure(part, "mouth_at", Plain, "0.5", "0", "1",
              "Where the cut meets the basin along the curb: 0 at its upstream end, 1 at its downstream end.",
              [](Settings& s) { return &s.basin.mouth_at; }));
  keys.push_back(
      required(measure(part, "infiltration", Rate, "", "0 mm/h", "1000 mm/h",
                       "Design rate at which water soaks into the basin's floor; best measured on the site.",
                       [](Settings& s) { return &s.basin.infiltration_m_s; })));
  keys.push_back(
      required(choice(part, "infiltration_origin", "", {"measured", "study", "soil map", "assumed"},
                      "Where the infiltration rate comes from; assumed: nobody has looked yet.",
                      [](Settings& s) { return &s.basin.infiltration_origin; })));
}

/// What runs through a basin, and how its floor lies.
void add_basin_kind(std::vector<StudyKey>& keys) {
  const std::string_view part = "basin";
  keys.push_back(choice(part, "kind", "beside", {"beside", "through", "in line"},
                        "beside: the basin fills, then the gutter passes it. through: a second cut, lower "
                        "down, gives back what does not stay. in line: the same, and the gutter runs into "
                        "its end; `opening` is then the width of that end.",
                        [](Settings& s) { return &s.basin.kind; }));
  keys.push_back(measure(part, "outlet", Length, "", "1 cm", "20 m",
                         "Length of the second cut; without it as `opening`.",
                         [](Settings& s) { return &s.basin.outlet_m; }));
  keys.push_back(measure(part, "outlet_drop", Length, "", "0 cm", "50 cm",
                         "Invert of the second cut under that of the first; without it what the gutter falls "
                         "from the one to the other. The water line, and `ponding`, then count from it.",
                         [](Settings& s) { return &s.basin.outlet_drop_m; }));
  keys.push_back(choice(part, "floor", "level", {"level", "falling"},
                        "falling: the floor falls with the gutter, so a long basin holds less.",
                        [](Settings& s) { return &s.basin.floor; }));
  keys.push_back(measure(part, "check_dams", Plain, "0", "0", "50",
                         "Low dams across a falling floor, as high as the water line: each cell keeps a pool "
                         "of its own. A whole number.",
                         [](Settings& s) { return &s.basin.check_dams; }));
  keys.push_back(measure(part, "dam_thickness", Length, "1 ft", "0 cm", "2 m",
                         "Of a check dam, along the basin (common practice, no source).",
                         [](Settings& s) { return &s.basin.dam_thickness_m; }));
}

/// What a basin is besides its shape. Depth and voids of mulch: no agency value is known, so no credit.
void add_basin_water(std::vector<StudyKey>& keys) {
  const std::string_view part = "basin";
  keys.push_back(measure(part, "safety_factor", Plain, "1", "1", "20",
                         "Every infiltration rate (the study's, the cuts' and those of field.csv) is divided "
                         "by it to give the design rate: 2 to 3 for a rate measured in a hole (Toronto-area "
                         "LID guide, design infiltration rate).",
                         [](Settings& s) { return &s.basin.safety_factor; }));
  keys.push_back(
      choice(part, "soaks_over", "floor", {"floor", "wetted"},
             "Ground through which water soaks in: the floor, or all that is under water, in plan.",
             [](Settings& s) { return &s.basin.soaks_over; }));
  keys.push_back(measure(part, "evaporation", Rate, "0 mm/day", "0 mm/day", "50 mm/day",
                         "From the surface of a pool.",
                         [](Settings& s) { return &s.basin.evaporation_m_s; }));
  keys.push_back(measure(part, "mulch_voids", Plain, "0", "0", "0.6",
                         "Share of the mulch (room.mulch deep) that holds water; 0 gives it no credit.",
                         [](Settings& s) { return &s.basin.mulch_voids; }));
  keys.push_back(
      measure(part, "start", Plain, "0", "0", "1",
              "How full the basins are when a storm begins: 0 empty, 1 up to the invert or the rim.",
              [](Settings& s) { return &s.basin.start_share; }));
}

/// Sources of the defaults: include/curbshed/siting/room.hpp and materials.hpp.
void add_room(std::vector<StudyKey>& keys) {
  const std::string_view part = "room";
  const auto length = [&](std::string_view name, std::string_view fallback, std::string_view least,
                          std::string_view most, std::string_view doc, double* (*slot)(Settings&)) {
    keys.push_back(measure(part, name, Length, fallback, least, most, doc, slot));
  };
  length("drop", "2 in", "0 cm", "30 cm",
         "From the rim of the dug slope down to the water line (flow entrances drop 2 to 3 in: Washington "
         "State's manual for low impact development).",
         [](Settings& s) { return &s.room.drop_m; });
  length("least_floor", "45 cm", "10 cm", "5 m", "Least width and length of the basin's level floor.",
         [](Settings& s) { return &s.room.least_floor_m; });
  length("back_of_curb", "1 ft", "0 cm", "3 m",
         "Level ground behind the curb where nobody parks (San Mateo County).",
         [](Settings& s) { return &s.room.back_of_curb_m; });
  length("step_out", "18 in", "0 cm", "3 m",
         "The same where cars stop, to step out of them (a California city's code).",
         [](Settings& s) { return &s.room.step_out_m; });
  length("shelf", "12 in", "0 cm", "3 m", "Level ground beside a walk (from memory, no source at hand).",
         [](Settings& s) { return &s.room.shelf_m; });
  length("least_ponding", "3 in", "1 cm", "1 m",
         "A candidate whose strip leaves less depth than this is none (from memory, no source at hand).",
         [](Settings& s) { return &s.room.least_ponding_m; });
  length("least_length", "8 ft", "0.3 m", "100 m",
         "A candidate with less water line along the curb than this is none (cities ask for 10 to 20 ft).",
         [](Settings& s) { return &s.room.least_length_m; });
  length("channel_height", "10 cm", "2 cm", "60 cm",
         "Covered channel under a walk that touches the curb: clear height (common practice, no source, like "
         "the next three).",
         [](Settings& s) { return &s.room.channel_height_m; });
  length("channel_cover", "25 mm", "1 mm", "30 cm", "Least thickness of its cover.",
         [](Settings& s) { return &s.room.channel_cover_m; });
  keys.push_back(measure(part, "channel_fall", Slope, "1 %", "0 %", "20 %", "Least fall toward the basin.",
                         [](Settings& s) { return &s.room.channel_fall; }));
  length("channel_longest", "3 m", "0.3 m", "20 m", "Longest channel.",
         [](Settings& s) { return &s.room.channel_longest_m; });
  length("mulch", "3 in", "0 cm", "30 cm", "Depth of the mulch on the floor; dug, and no room for water.",
         [](Settings& s) { return &s.room.mulch_m; });
  keys.push_back(measure(part, "bulking", Plain, "25 %", "0", "1",
                         "Share by which dug soil loosens (common practice, no source, like the next three).",
                         [](Settings& s) { return &s.room.bulking; }));
  length("stone_length", "60 cm", "0 cm", "5 m", "Stone pad behind the cut, into the basin.",
         [](Settings& s) { return &s.room.stone_length_m; });
  length("stone_depth", "15 cm", "0 cm", "1 m", "Depth of that pad.",
         [](Settings& s) { return &s.room.stone_depth_m; });
  length("plant_spacing", "60 cm", "10 cm", "10 m",
         "One plant on each square of this side, between floor and rim.",
         [](Settings& s) { return &s.room.plant_spacing_m; });
}

void add_candidates(std::vector<StudyKey>& keys) {
  const std::string_view part = "candidates";
  keys.push_back(on_off(part, "on", "false",
                        "true: look for places for further cuts along every curb. They are closed in the "
                        "run; what each would take by itself is in candidates.csv.",
                        [](Settings& s) { return &s.candidates.on; }));
  keys.push_back(measure(part, "spacing", Length, "15 m", "2 m", "500 m",
                         "One place at most on each such stretch of curb, none nearer than half of it to the "
                         "next, none nearer than it to a cut of yours (common practice, no source).",
                         [](Settings& s) { return &s.candidates.spacing_m; }));
  keys.push_back(
      measure(part, "from_corner", Length, "30 ft", "0 m", "100 m",
              "Basins keep this far from where the curbs of two streets meet (street tree rules of "
              "several cities).",
              [](Settings& s) { return &s.candidates.from_corner_m; }));
  keys.push_back(measure(part, "from_driveway", Length, "3 ft", "0 m", "30 m",
                         "Basins keep this far from driveways, ramps and other gaps of the curb (Madison).",
                         [](Settings& s) { return &s.candidates.from_driveway_m; }));
  keys.push_back(measure(part, "from_inlet", Length, "3 m", "0 m", "100 m",
                         "Cuts keep this far from drain inlets and existing basins (common practice, no "
                         "source).",
                         [](Settings& s) { return &s.candidates.from_inlet_m; }));
  keys.push_back(on_off(part, "behind_walk", "true",
                        "Where a walk touches the curb: a basin behind it, with a covered channel.",
                        [](Settings& s) { return &s.candidates.behind_walk; }));
  keys.push_back(on_off(part, "bulb", "true",
                        "Where cars park and neither strip nor walk has room: a basin in the parking lane, "
                        "with a new curb around it.",
                        [](Settings& s) { return &s.candidates.bulb; }));
  keys.push_back(measure(part, "parking_lane", Length, "", "1 m", "10 m",
                         "Width of a parking lane along every curb; without it only layers say "
                         "where cars park.",
                         [](Settings& s) { return &s.candidates.parking_lane_m; }));
}

void add_money(std::vector<StudyKey>& keys) {
  const std::string_view part = "money";
  keys.push_back(words(part, "currency", "", "What prices are in, as a plain word: `dollars`.",
                       [](Settings& s) { return &s.money.currency; }));
  keys.push_back(
      choice(part, "per", "metric", {"metric", "us"},
             "metric: prices are by cubic metre, square metre and metre. us: by cubic yard, square "
             "foot and foot.",
             [](Settings& s) { return &s.money.per; }));
  const auto price = [&](std::string_view name, std::string_view doc,
                         std::optional<double>* (*slot)(Settings&)) {
    keys.push_back(measure(part, name, Plain, "", "0", "1000000", doc, slot));
  };
  price("soil", "Digging and carting away, by volume as it lies on the truck. No price has a default.",
        [](Settings& s) { return &s.money.soil; });
  price("stone", "Stone at the mouth, by volume.", [](Settings& s) { return &s.money.stone; });
  price("mulch", "Mulch, by volume.", [](Settings& s) { return &s.money.mulch; });
  price("plant", "One plant, set.", [](Settings& s) { return &s.money.plant; });
  price("curb_cut", "Cutting the curb, by length.", [](Settings& s) { return &s.money.curb_cut; });
  price("channel", "Covered channel, by length.", [](Settings& s) { return &s.money.channel; });
  price("pavement", "Breaking up pavement, by area.", [](Settings& s) { return &s.money.pavement; });
  price("site", "Whatever each site costs besides: permit, locating lines.",
        [](Settings& s) { return &s.money.site; });
}

void add_trees(std::vector<StudyKey>& keys) {
  const std::string_view part = "trees";
  keys.push_back(months(part, "reference_et", Length, "0 mm", "1000 mm",
                        "Mean reference evapotranspiration of each month, January first.",
                        [](Settings& s) { return &s.trees.reference_et_m; }));
  keys.push_back(
      measure(part, "plant_factor", Plain, "0.5", "0.1", "1.5",
              "Water that the trees need as a share of reference evapotranspiration: 0.5 for trees "
              "where the air is dry, 0.3 for trees of the desert.",
              [](Settings& s) { return &s.trees.plant_factor; }));
  keys.push_back(measure(part, "crown", Length, "6 m", "1 m", "40 m",
                         "Diameter of a grown crown (an assumption, no source: set it for your trees).",
                         [](Settings& s) { return &s.trees.crown_m; }));
  keys.push_back(measure(part, "spacing", Length, "6 m", "1 m", "50 m",
                         "Distance between trees along the curb (an assumption, no source).",
                         [](Settings& s) { return &s.trees.spacing_m; }));
}

void add_rules(std::vector<StudyKey>& keys) {
  const std::string_view part = "rules";
  keys.push_back(
      words(part, "file", "",
            "TOML table of the rules for places; without it the built-in one (docs/rules.md; `curbshed "
            "start` writes it as `rules.toml`).",
            [](Settings& s) { return &s.rules.file; }));
  StudyKey every;
  every.part = part;
  every.name = "every_row";
  every.form = KeyForm::Switch;
  every.fallback = "false";
  every.doc =
      "true: `screening.csv` has every rule of every site also where there are over 300 sites; else only "
      "what "
      "is over a limit or to be measured.";
  every.slot = [](Settings& s) { return &s.rules.every_row; };
  keys.push_back(every);
}

StudyKey word_list(std::string_view part, std::string_view name, std::string_view doc,
                   std::vector<std::string>* (*slot)(Settings&)) {
  StudyKey key;
  key.part = part;
  key.name = name;
  key.form = KeyForm::Words;
  key.doc = doc;
  key.slot = slot;
  return key;
}

void add_choose(std::vector<StudyKey>& keys) {
  const std::string_view part = "choose";
  keys.push_back(measure(part, "count", Plain, "", "1", "100000", "Build at most this many cuts.",
                         [](Settings& s) { return &s.choose.count; }));
  keys.push_back(measure(part, "money", Plain, "", "0", "1000000000",
                         "Spend at most this much, in the currency of `money.currency`.",
                         [](Settings& s) { return &s.choose.money; }));
  keys.push_back(measure(part, "digging", Volume, "", "0.1 m3", "1000000 m3",
                         "Dig at most this much ground, as it lies.",
                         [](Settings& s) { return &s.choose.digging_m3; }));
  keys.push_back(measure(part, "per_block", Plain, "", "1", "1000",
                         "At most this many cuts on one side of a block.",
                         [](Settings& s) { return &s.choose.per_block; }));
  keys.push_back(measure(part, "spacing", Length, "0 m", "0 m", "1000 m",
                         "At least this far along the curb from cut to cut.",
                         [](Settings& s) { return &s.choose.spacing_m; }));
  keys.push_back(
      word_list(part, "must",
                "Cuts that are built in any case: ids, or \"12 Kiln Street\" for those in front of "
                "that house.",
                [](Settings& s) { return &s.choose.must; }));
  keys.push_back(word_list(part, "never", "Cuts that are not built, written like `must`.",
                           [](Settings& s) { return &s.choose.never; }));
  keys.push_back(
      choice(part, "aim", "captured", {"captured", "year", "peak", "both"},
             "What the best set has most of: water kept in a storm, or in a mean year; a lower peak "
             "downstream; or water kept in a storm and the peak.",
             [](Settings& s) { return &s.choose.aim; }));
  keys.push_back(words(part, "storm", "two_year",
                       "The storm that counts: common, two_year, ten_year or the id of a further storm.",
                       [](Settings& s) { return &s.choose.storm; }));
  keys.push_back(words(part, "outfall", "",
                       "Outfall whose peak counts; without it the peaks at all ends below cuts, added up.",
                       [](Settings& s) { return &s.choose.outfall; }));
  keys.push_back(
      measure(part, "peak_part", Plain, "0.5", "0", "1",
              "Of `both`: weight of the peak (as a share of the peak today); the rest is the weight "
              "of the water kept (as a share of all runoff).",
              [](Settings& s) { return &s.choose.peak_part; }));
}

std::vector<StudyKey> all_keys() {
  std::vector<StudyKey> keys;
  keys.push_back(
      words("", "title", "", "Name of the study, for people.", [](Settings& s) { return &s.title; }));
  add_place(keys);
  add_ground(keys);
  add_street(keys);
  add_centrelines(keys);
  add_gutter(keys);
  add_lots_and_soil(keys);
  add_tanks(keys);
  add_rain(keys);
  add_storm(keys);
  add_opening(keys);
  add_basin(keys);
  add_basin_kind(keys);
  add_basin_water(keys);
  add_room(keys);
  add_candidates(keys);
  add_trees(keys);
  add_money(keys);
  add_rules(keys);
  add_choose(keys);
  keys.push_back(choice("page", "units", "", {"metric", "us"},
                        "Units of report.html; without it those of the reference system.",
                        [](Settings& s) { return &s.page.units; }));
  return keys;
}

}  // namespace

const std::vector<StudyKey>& study_keys() {
  static const std::vector<StudyKey> keys = all_keys();
  return keys;
}

const std::vector<StudyPart>& study_parts() {
  static const std::vector<StudyPart> parts = {
      {"place", "The part of a large elevation model that is read. Without it the whole model is."},
      {"ground", "The elevation model and how far to trust it."},
      {"street", "Curbs, gutters and the places that take water."},
      {"gutter", "Section of the gutters, for those that do not bring their own."},
      {"lots", "What covers the ground, so how much of the rain runs off."},
      {"lots.tank", "Rain tanks on lots, and what lots with a tank that bring no values of their own have."},
      {"soil", "What the ground is like below."},
      {"rain", "The storms."},
      {"opening", "Coefficients of openings; leave them unless your city uses others."},
      {"basin", "The cut and the basin behind it, for every cut that does not bring its own."},
      {"room", "What a basin needs besides its water line, and what it is made of."},
      {"candidates", "Places for further cuts, looked for along every curb."},
      {"trees", "What trees need, for the canopy that the water can carry."},
      {"money", "What things cost; where a price is missing the cost says so."},
      {"rules", "By which rules the places for basins are looked at."},
      {"choose", "Which cuts to build, under limits. Without it every cut of the study is."},
      {"page", "What report.html looks like."},
  };
  return parts;
}

}  // namespace curbshed::study
