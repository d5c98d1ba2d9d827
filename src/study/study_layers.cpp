#include "curbshed/study/study_keys.hpp"

#include "study/class_words.hpp"

namespace curbshed::study {
namespace {

using base::Dimension;
using enum base::Dimension;

FieldKey text_field(std::string_view name, std::string_view doc) { return {name, false, Plain, "", "", doc}; }
FieldKey number_field(std::string_view name, Dimension dimension, std::string_view least,
                      std::string_view most, std::string_view doc) {
  return {name, true, dimension, least, most, doc};
}

LayerKey layer(std::string_view part, std::string_view shape, std::string_view doc,
               LayerSource* (*source)(Settings&), std::vector<FieldKey> fields) {
  LayerKey key;
  key.part = part;
  key.shape = shape;
  key.doc = doc;
  key.source = source;
  key.fields = std::move(fields);
  return key;
}

/// The ways to say where a feature without a shape stands.
void add_places(LayerKey& key) {
  for (const FieldKey& field :
       {number_field("x", Plain, "", "", "East, in the layer's `crs`, else the elevation model's system."),
        number_field("y", Plain, "", "", "North, like x."),
        number_field("longitude", Plain, "-180", "180", "Degrees east, WGS 84 (EPSG:4326), with latitude."),
        number_field("latitude", Plain, "-90", "90", "Degrees north, WGS 84."),
        text_field("place", "The place in one sentence, as our tables write it."),
        text_field("street", "With side, corner and distance: the street, as the curb layer names it."),
        text_field("side", "Side of the street."),
        text_field("corner", "The cross street at which the tape starts."),
        text_field("toward", "The street at the other end, where two blocks meet at the corner."),
        number_field("distance", Length, "-30 m", "5000 m", "What the tape reads along the curb.")}) {
    key.fields.push_back(field);
  }
}

/// Section of the gutter, on curbs and centrelines.
void add_section(LayerKey& key) {
  for (const FieldKey& field :
       {text_field("gutter_section", "straight, depressed or parabolic, instead of gutter.section."),
        number_field("gutter_width", Length, "10 cm", "3 m", "Instead of gutter.width."),
        number_field("gutter_depression", Length, "1 mm", "30 cm", "Instead of gutter.depression."),
        number_field("crown_height", Length, "1 cm", "1 m", "Instead of gutter.crown_height."),
        number_field("half_width", Length, "1 m", "50 m", "Instead of gutter.half_width.")}) {
    key.fields.push_back(field);
  }
}

/// Kind of opening of a basin's cut.
void add_opening_kind(LayerKey& key) {
  for (const FieldKey& field :
       {text_field("opening_kind", "sawn or core, instead of basin.opening_kind."),
        number_field("opening_height", Length, "1 cm", "60 cm", "Instead of basin.opening_height."),
        number_field("core_diameter", Length, "1 cm", "60 cm", "Instead of basin.core_diameter."),
        number_field("invert_rise", Length, "0 cm", "30 cm", "Instead of basin.invert_rise."),
        number_field("dip", Length, "0 cm", "15 cm", "Instead of basin.dip."),
        number_field("dip_width", Length, "10 cm", "3 m", "Instead of basin.dip_width.")}) {
    key.fields.push_back(field);
  }
}

/// Kind of the basin and of its floor.
void add_basin_kind(LayerKey& key) {
  for (const FieldKey& field :
       {text_field("basin_kind", "beside, through or in line, instead of basin.kind."),
        number_field("outlet", Length, "1 cm", "20 m", "Instead of basin.outlet."),
        number_field("outlet_drop", Length, "0 cm", "50 cm", "Instead of basin.outlet_drop."),
        text_field("floor", "level or falling, instead of basin.floor."),
        number_field("check_dams", Plain, "0", "50", "Instead of basin.check_dams.")}) {
    key.fields.push_back(field);
  }
}

LayerKey curbs_layer() {
  LayerKey key =
      layer("street.curbs", "lines",
            "Curb lines. Without them the edges of the pavement polygons are taken as curbs, without those "
            "lines beside the centrelines.",
            [](Settings& s) { return &s.street.curbs; },
            {text_field("id", "Name of the curb in messages and files."),
             text_field("kind", "vertical, rolled, flush, none, or gap (driveway, ramp, existing cut)."),
             number_field("height", Length, "0 cm", "60 cm", "Height above the gutter."),
             text_field("street", "Name of the street."),
             text_field("side", "Side of the street, as people call it."),
             text_field("street_side", "left or right: where the street lies, looking along the line.")});
  key.classed_field = "kind";
  key.classes = {"vertical", "rolled", "flush", "none", "gap"};
  add_section(key);
  return key;
}

LayerKey centrelines_layer() {
  LayerKey key = layer(
      "street.centrelines", "lines",
      "Middle lines of streets and alleys, as street maps have them. Curbs and pavement are made from them "
      "where neither is given; streets get their names from them.",
      [](Settings& s) { return &s.street.centrelines; },
      {text_field("id", "Name of the line in messages."), text_field("street", "Name of the street."),
       text_field("class",
                  "alley, residential, collector, arterial or cul_de_sac (residential with a round "
                  "end)."),
       number_field("width", Length, "2 m", "60 m", "Curb to curb; without it the ground is asked."),
       text_field("kind", "Kind of curb: vertical, rolled, flush or none.")});
  key.classed_field = "class";
  key.classes = street_classes();
  add_section(key);
  return key;
}

LayerKey cuts_layer() {
  LayerKey key =
      layer("street.cuts", "points", "Candidate curb cuts, each with a basin behind it.",
            [](Settings& s) { return &s.street.cuts; },
            {text_field("id", "Name of the cut, each one once; without it one is made from where it is."),
             number_field("opening", Length, "0 in", "20 m", "Instead of basin.opening."),
             number_field("clogging", Plain, "0", "1", "Instead of basin.opening_clogging."),
             number_field("basin_length", Length, "0.3 m", "100 m", "Instead of basin.length."),
             number_field("basin_width", Length, "0.3 m", "30 m", "Instead of basin.width."),
             number_field("side_slope", Plain, "0", "10", "Instead of basin.side_slope."),
             number_field("ponding", Length, "1 cm", "1 m", "Instead of basin.ponding."),
             number_field("setback", Length, "0 cm", "10 m", "Instead of basin.setback."),
             number_field("mouth_at", Plain, "0", "1", "Instead of basin.mouth_at."),
             number_field("infiltration", Rate, "0 mm/h", "1000 mm/h", "Instead of basin.infiltration."),
             number_field("grade", Slope, "0 %", "30 %", "Grade of the gutter, measured on the site."),
             number_field("cross_slope", Slope, "0.2 %", "15 %", "Cross slope, measured on the site."),
             number_field("weight", Plain, "0", "1000",
                          "In the choice, the water that this basin keeps counts so many times."),
             text_field("consent",
                        "What the owner beside it has said: yes, no or not asked. With no it is "
                        "not chosen; the answer is never printed."),
             text_field("words", "Free text, shown as it is.")});
  add_opening_kind(key);
  add_basin_kind(key);
  add_places(key);
  key.row_part = "street.cut";
  key.required = true;
  return key;
}

LayerKey inlets_layer() {
  LayerKey key = layer(
      "street.inlets", "points", "Drain inlets. Without them areas may come out too large.",
      [](Settings& s) { return &s.street.inlets; },
      {text_field("id", "Name of the inlet; without it one is made from where it is."),
       text_field("kind", "curb_opening (also without a word), grate or slotted."),
       number_field("length", Length, "0.1 m", "20 m", "Along the curb, instead of street.inlet_length."),
       number_field("width", Length, "5 mm", "3 m",
                    "Grate: from the curb's face, 45 cm without it. Slot: its opening, 45 mm without it."),
       number_field("open_share", Plain, "0.05", "1", "Openings of a grate over its area, 0.5 without it."),
       number_field(
           "splash_over", Rate, "0.1 m/s", "10 m/s",
           "Speed of the gutter from which water jumps over the bars of a grate, from charts of its kind "
           "or its maker; without it none jumps."),
       number_field("clogging", Plain, "0", "1", "Instead of street.inlet_clogging or grate_clogging."),
       number_field("height", Length, "1 cm", "60 cm",
                    "Height of a curb opening under its slab; without it that of its curb."),
       number_field("dip", Length, "0 cm", "15 cm", "How far the gutter is dipped at a curb opening."),
       number_field("dip_width", Length, "10 cm", "3 m", "Width of that dip, instead of basin.dip_width."),
       text_field("rating", "Name of a table in [street.inlet_ratings] that counts instead of the formulas."),
       number_field("pipe_limit", Flow, "0 L/s", "10 m3/s", "Most that the pipe takes; 0 = no limit."),
       text_field("outlet",
                  "Name of a place in [street.pipe_outlets]; without it, or without that layer, the water is "
                  "gone.")});
  add_places(key);
  key.classed_field = "kind";
  key.classes = {"curb_opening", "grate", "slotted"};
  return key;
}

LayerKey existing_basins_layer() {
  LayerKey key = layer(
      "street.existing_basins", "points or polygons",
      "Basins behind the curb that are there already: they take water without the cuts, too, and are in no "
      "rank. A "
      "polygon counts as a rectangle of its area and outline, at its place next to a curb. What is not told "
      "is as for "
      "the study's own basins.",
      [](Settings& s) { return &s.street.existing_basins; },
      {text_field("id", "Name of the basin, each one once; without it one is made from where it is."),
       number_field("opening", Length, "0 in", "20 m", "Opening in the curb, instead of basin.opening."),
       number_field("clogging", Plain, "0", "1", "Instead of basin.opening_clogging."),
       number_field("basin_length", Length, "0.3 m", "100 m", "Along the curb, instead of basin.length."),
       number_field("basin_width", Length, "0.3 m", "30 m", "Instead of basin.width."),
       number_field("side_slope", Plain, "0", "10", "Instead of basin.side_slope."),
       number_field("ponding", Length, "1 cm", "1 m", "Instead of basin.ponding."),
       number_field(
           "volume", Volume, "10 L", "1000 m3",
           "What it holds up to the cut's invert; its depth is then this over its area, its sides are steep. "
           "Not with ponding or side_slope."),
       number_field("setback", Length, "0 cm", "10 m", "Instead of basin.setback."),
       number_field("mouth_at", Plain, "0", "1", "Instead of basin.mouth_at."),
       number_field("infiltration", Rate, "0 mm/h", "1000 mm/h", "Instead of basin.infiltration."),
       text_field("words", "Free text.")});
  add_opening_kind(key);
  add_basin_kind(key);
  add_places(key);
  return key;
}

LayerKey ratings_layer() {
  return layer(
      "street.inlet_ratings", "table",
      "What inlets take, as tables by name: one row a pair, by the depth of the water at the curb or by the "
      "flow that comes. Straight lines between the pairs, from nothing to the first, above the last no more. "
      "The share that is clogged is taken off. A table by flow counts on a grade only, not in a sag.",
      [](Settings& s) { return &s.street.inlet_ratings; },
      {text_field("id", "Name of the row in messages; without it its line is told."),
       text_field("rating", "Name of the table."),
       number_field("depth", Length, "0 m", "1 m", "Depth at the curb's face …"),
       number_field("flow", Flow, "0 L/s", "10 m3/s", "… or flow that comes; one of the two in a table."),
       number_field("captured", Flow, "0 L/s", "10 m3/s", "What the inlet takes of it.")});
}

LayerKey outlets_layer() {
  LayerKey key =
      layer("street.pipe_outlets", "points",
            "Places in the street where the water of drain inlets comes up again, at once. It then runs on "
            "in the gutter, or over the ground, to the next place.",
            [](Settings& s) { return &s.street.pipe_outlets; },
            {text_field("id", "Name of the place, each one once; inlets name it in `outlet`.")});
  add_places(key);
  return key;
}

LayerKey flow_lines_layer() {
  LayerKey key =
      layer("street.flow_lines", "lines",
            "Valley gutters and humps that the elevation model does not show, each drawn the way the water "
            "runs. They serve directions only; no level is read from them.",
            [](Settings& s) { return &s.street.flow_lines; },
            {text_field("id", "Name of the line; each one once."), text_field("kind", "valley or hump."),
             number_field("height", Length, "1 cm", "1 m",
                          "Depth of a valley below the gutter, height of a hump above the ground; 10 cm "
                          "without it.")});
  key.classed_field = "kind";
  key.classes = {"valley", "hump"};
  return key;
}

LayerKey corners_layer() {
  LayerKey key = layer(
      "street.corners", "points",
      "What the water is known to do at a street corner: it counts for the nearest corner of the curb "
      "within 20 m.",
      [](Settings& s) { return &s.street.corners; },
      {text_field("id", "Name of the point; each one once."),
       text_field("way",
                  "turn (round the corner), cross (over the side street) or share (part of it turns)."),
       number_field("share", Plain, "0", "1", "With way share: the part that turns; the rest crosses.")});
  key.classed_field = "way";
  key.classes = {"turn", "cross", "share"};
  add_places(key);
  return key;
}

LayerKey field_layer() {
  LayerKey key = layer(
      "street.field", "points",
      "What was measured or seen on the street, as a spreadsheet saved as CSV: one row a cut, or several. A "
      "measured value counts before what is fitted or assumed, at that cut only; `manifest.json` lists each "
      "one. "
      "A cell that is empty says nothing.",
      [](Settings& s) { return &s.street.field; },
      {text_field("id", "Name of the row in messages; without it its line is told."),
       text_field("cut",
                  "Cut or drain inlet: its `id` or `place_id`. Without it the row counts for the one nearest "
                  "to its place, within street.snap."),
       number_field("grade", Slope, "0 %", "30 %", "Grade of the gutter: fall over way, 5 m or more of it."),
       number_field("cross_slope", Slope, "0.2 %", "15 %", "Cross slope of the pavement beside the gutter."),
       number_field("curb_height", Length, "0 cm", "60 cm", "Top of the curb above the gutter."),
       number_field(
           "rim_below_curb", Length, "-1 m", "2 m",
           "Lowest ground around the basin's place, below the top of the curb at the cut; above it is "
           "negative. A string, a line level and a tape do."),
       number_field(
           "gutter_level", Length, "-500 m", "9000 m",
           "Height of the gutter, counted as in the elevation model: only from a survey. The top of the "
           "curb moves with it."),
       number_field(
           "rim_level", Length, "-500 m", "9000 m",
           "Instead of rim_below_curb: height of the lowest ground around the basin's place, from the same "
           "survey."),
       number_field("infiltration", Rate, "0 mm/h", "1000 mm/h", "Rate at which water sank in here."),
       text_field("method", "How it was measured: `1 ft hole, third filling`."),
       text_field("date", "When, as you write it."),
       text_field("water", "yes or no: was there water in the gutter while it rained."),
       text_field("words", "Free text.")});
  add_places(key);
  key.classed_field = "water";
  key.classes = {"yes", "no"};
  return key;
}

LayerKey levels_layer() {
  LayerKey key = layer(
      "street.levels", "table",
      "Levels shot on the street with a line level or an instrument, as a spreadsheet saved as CSV: one row "
      "a "
      "level, all against the top of the curb at the cut. They count instead of the elevation model and the "
      "assumed curb height, carry an error of their own, and are named in `manifest.json`.",
      [](Settings& s) { return &s.street.levels; },
      {text_field("id", "Name of the row in messages; without it its line is told."),
       text_field("cut", "Cut: its `id` or `place_id`."),
       text_field(
           "what",
           "walk: the lowest point of the walk or ground around the basin's place. doorway: the ground "
           "at the lowest doorway near it. gutter: the gutter at the cut."),
       number_field("height", Length, "-3 m", "3 m",
                    "Above the top of the curb; below it is negative: `-6 in` for a gutter."),
       number_field("error", Length, "0 mm", "0.5 m", "Standard error of the height, 5 mm without it."),
       text_field("method", "How it was measured: `string and line level`."),
       text_field("date", "When, as you write it.")});
  key.classed_field = "what";
  key.classes = {"walk", "doorway", "gutter"};
  return key;
}

LayerKey outfalls_layer() {
  LayerKey key = layer("street.outfalls", "points", "Places where the street's water leaves the study.",
                       [](Settings& s) { return &s.street.outfalls; },
                       {text_field("id", "Name of the outfall, each one once; without it one is made."),
                        text_field("words", "Free text, shown as it is.")});
  add_places(key);
  return key;
}

LayerKey surface_layer(std::string_view part, std::string_view field, std::string_view doc,
                       LayerSource* (*source)(Settings&)) {
  LayerKey key =
      layer(part, "polygons", doc, source,
            {text_field("id", "Name of the feature in messages."), text_field(field, "Surface class.")});
  key.classed_field = field;
  key.classes = surface_names();
  return key;
}

LayerKey lots_layer() {
  LayerKey key =
      surface_layer("lots.lots", "yard", "Lots, with the surface of their yards and their rain tanks.",
                    [](Settings& s) { return &s.lots.lots; });
  for (const FieldKey& field :
       {number_field("tank", Volume, "0 L", "1000 m3", "Rain tank, instead of lots.tank.size; 0 = none."),
        number_field("tank_roof_share", Plain, "0", "1", "Instead of lots.tank.roof_share."),
        number_field("tank_start", Plain, "0", "1", "Instead of lots.tank.start."),
        number_field("tank_screen_loss", Plain, "0", "1", "Instead of lots.tank.screen_loss."),
        number_field("tank_first_flush", Length, "0 mm", "20 mm", "Instead of lots.tank.first_flush."),
        number_field("tank_use", Flow, "0 L/day", "10 m3/day", "Instead of lots.tank.use."),
        number_field("tank_basin_volume", Volume, "0 L", "1000 m3", "Instead of lots.tank.basin_volume."),
        number_field("tank_basin_floor", Area, "0 m2", "10000 m2", "Instead of lots.tank.basin_floor."),
        number_field("tank_basin_infiltration", Rate, "0 mm/h", "1000 mm/h",
                     "Instead of lots.tank.basin_infiltration.")}) {
    key.fields.push_back(field);
  }
  return key;
}

LayerKey things_layer(std::string_view part, std::string_view shape, std::string_view doc,
                      LayerSource* (*source)(Settings&)) {
  return layer(part, shape, doc, source, {text_field("id", "Name of the feature in messages.")});
}

/// Words of the field `kind`, one layer for all of them.
void add_kinds(LayerKey& key, std::string_view doc, std::vector<std::string_view> words) {
  key.fields.push_back(text_field("kind", doc));
  key.classed_field = "kind";
  key.classes = std::move(words);
}

/// What the rules for places are measured against.
void add_street_things(std::vector<LayerKey>& layers) {
  layers.push_back(things_layer("street.walks", "polygons", "Walks beside the street, for the rules.",
                                [](Settings& s) { return &s.street.walks; }));
  layers.push_back(things_layer("street.driveways", "polygons",
                                "Driveways, for the rules; gaps of the curbs count as well.",
                                [](Settings& s) { return &s.street.driveways; }));
  const auto points = [&layers](std::string_view part, std::string_view doc,
                                LayerSource* (*source)(Settings&)) {
    LayerKey key = things_layer(part, "points", doc, source);
    add_places(key);
    layers.push_back(key);
  };
  points("street.ramps", "Curb ramps, for the rules.", [](Settings& s) { return &s.street.ramps; });
  points("street.hydrants", "Hydrants, for the rules.", [](Settings& s) { return &s.street.hydrants; });
  points("street.poles", "Poles and street lights, for the rules.",
         [](Settings& s) { return &s.street.poles; });
  points("street.meters", "Meters, for the rules.", [](Settings& s) { return &s.street.meters; });
  points("street.covers", "Covers of pits and valves, for the rules.",
         [](Settings& s) { return &s.street.covers; });
  LayerKey buried =
      things_layer("street.buried_lines", "lines",
                   "Buried lines, for the rules. A kind of which no line is drawn is not known; "
                   "call the line-marking service before any digging all the same.",
                   [](Settings& s) { return &s.street.buried_lines; });
  add_kinds(buried, "water, gas, sewer, power, telecom or other; what is none of these counts as other.",
            {"water", "gas", "sewer", "power", "telecom", "other"});
  layers.push_back(buried);
  layers.push_back(things_layer("street.overhead_wires", "lines", "Overhead wires, for the rules.",
                                [](Settings& s) { return &s.street.overhead_wires; }));
  LayerKey space = things_layer("street.curb_space", "points, lines or polygons",
                                "What the street beside the curb is kept for, for the rules.",
                                [](Settings& s) { return &s.street.curb_space; });
  add_kinds(space, "parking, accessible_parking, stop (of buses), loading, fire_lane or bicycle_lane.",
            {"parking", "accessible_parking", "stop", "loading", "fire_lane", "bicycle_lane"});
  add_places(space);
  layers.push_back(space);
}

void add_other_things(std::vector<LayerKey>& layers) {
  LayerKey trees = things_layer("trees.existing", "points", "Trees that stand there already, for the rules.",
                                [](Settings& s) { return &s.trees.existing; });
  trees.fields.push_back(number_field("crown", Length, "0 m", "60 m",
                                      "Diameter of the crown; without it 15 ft around the stem are kept."));
  add_places(trees);
  layers.push_back(trees);
  LayerKey wells = things_layer("lots.wells", "points", "Wells and septic fields, for the rules.",
                                [](Settings& s) { return &s.lots.wells; });
  add_kinds(wells, "well (also without a word) or septic.", {"well", "septic"});
  add_places(wells);
  layers.push_back(wells);
  LayerKey hazards = things_layer("soil.hazards", "polygons",
                                  "Ground that must not be made wet, and where rock or water lies near, for "
                                  "the rules.",
                                  [](Settings& s) { return &s.soil.hazards; });
  add_kinds(hazards, "swelling, collapsing, dirty, hardpan (also rock) or water_table.",
            {"swelling", "collapsing", "dirty", "hardpan", "water_table"});
  hazards.fields.push_back(number_field("depth", Length, "0 m", "100 m",
                                        "Below the ground, of hardpan and water table; 0 without it."));
  layers.push_back(hazards);
  layers.push_back(
      layer("choose.weights", "polygons",
            "Ground where the water that a basin keeps counts more or less in the choice (hot streets, "
            "a school's way, a district). A cut or candidate on several of them counts by the product.",
            [](Settings& s) { return &s.choose.weights; },
            {text_field("id", "Name of the feature in messages."),
             number_field("weight", Plain, "0", "1000", "Kept water counts so many times.")}));
}

std::vector<LayerKey> all_layers() {
  std::vector<LayerKey> layers;
  layers.push_back(layer("place.area", "polygons",
                         "The place as one or more polygons, instead of four sides. What is read is the "
                         "upright rectangle around them, the margin and what is grown.",
                         [](Settings& s) { return &s.place.area; },
                         {text_field("id", "Name of the feature in messages.")}));
  layers.push_back(curbs_layer());
  layers.push_back(layer("street.pavement", "polygons", "Street pavement: carriageway, gutter, parking.",
                         [](Settings& s) { return &s.street.pavement; },
                         {text_field("id", "Name of the feature in messages.")}));
  layers.push_back(centrelines_layer());
  layers.push_back(cuts_layer());
  layers.push_back(existing_basins_layer());
  layers.push_back(inlets_layer());
  layers.push_back(ratings_layer());
  layers.push_back(outlets_layer());
  layers.push_back(outfalls_layer());
  layers.push_back(flow_lines_layer());
  layers.push_back(corners_layer());
  layers.push_back(field_layer());
  layers.push_back(levels_layer());
  layers.push_back(lots_layer());
  layers.push_back(layer("lots.buildings", "polygons", "Buildings: their ground is roof.",
                         [](Settings& s) { return &s.lots.buildings; },
                         {text_field("id", "Name of the feature in messages.")}));
  layers.push_back(surface_layer("lots.surfaces", "surface",
                                 "Surfaces by class; they count before the yards of lots.",
                                 [](Settings& s) { return &s.lots.surfaces; }));
  layers.push_back(layer(
      "lots.walls", "lines",
      "Walls in yards: water does not cross them, from either side, unless it stands over their "
      "top. A closed yard holds its rain; where water gets through (a gate, weep holes), leave a "
      "gap in the line. Parts on street pavement do not count.",
      [](Settings& s) { return &s.lots.walls; },
      {text_field("id", "Name of the wall in messages."),
       number_field("height", Length, "5 cm", "10 m", "Above the ground, instead of lots.wall_height.")}));
  LayerKey addresses =
      layer("lots.addresses", "points", "House numbers, to say beside which house a place is.",
            [](Settings& s) { return &s.lots.addresses; },
            {text_field("id", "Name of the feature in messages."), text_field("number", "House number.")});
  add_places(addresses);
  layers.push_back(addresses);
  LayerKey groups = surface_layer("soil.groups", "group", "Hydrologic soil groups.",
                                  [](Settings& s) { return &s.soil.groups; });
  groups.fields[1].doc = "Hydrologic soil group: A, B, C or D.";
  groups.fields.push_back(
      number_field("conductivity", Rate, "0 um/s", "1 m/s",
                   "Saturated conductivity of the tightest layer within 100 cm; gives the group "
                   "where there is none (NEH 630, table 7-1, deep ground)."));
  groups.fields.push_back(
      text_field("texture", "Soil texture, as in `soil.default_texture`; for Green-Ampt."));
  groups.classes = {"A", "B", "C", "D"};
  layers.push_back(groups);
  add_street_things(layers);
  add_other_things(layers);
  return layers;
}

}  // namespace

const std::vector<LayerKey>& study_layers() {
  static const std::vector<LayerKey> layers = all_layers();
  return layers;
}

}  // namespace curbshed::study
