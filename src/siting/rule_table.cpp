#include "siting/rule_table.hpp"

#include "curbshed/base/error.hpp"

namespace curbshed::siting {
namespace {

using enum base::Dimension;
using enum UsedFor;

constexpr std::optional<double> kNone = std::nullopt;

// Sources. "From memory": the document is real, its page was not read again for this table.
constexpr std::string_view kCommon = "common practice, no source";
constexpr std::string_view kMpca =
    "Minnesota Stormwater Manual (Minnesota Pollution Control Agency), setbacks and design criteria for "
    "bioretention";
constexpr std::string_view kMadison = "City of Madison, Wisconsin: terrace rain gardens";
constexpr std::string_view kSanMateo = "San Mateo County, California: curb-extension worksheet";
constexpr std::string_view kNacto = "NACTO, Urban Street Stormwater Guide, 2017";
constexpr std::string_view kToronto =
    "Toronto-area low-impact development guide (Sustainable Technologies Evaluation Program)";
constexpr std::string_view kWashington =
    "Washington State LID Technical Guidance Manual, 4.4.2.2 Bioretention components";
constexpr std::string_view kTreeCodes =
    "street-tree codes of Syracuse NY, Los Angeles CA, Oxford OH, Indianola IA and Benkelman NE";

constexpr std::string_view kHumid = "from a humid climate; ask your city for its own";
constexpr std::string_view kTerraceHumid =
    "from a humid climate, for gardens at a curb; ask your city for its own";

// How to get what is missing.
constexpr std::string_view kGetHeights =
    "Shoot the gutter over 30 m with a level, or measure it at the cut ([street.field]).";
constexpr std::string_view kGetLevels =
    "Shoot gutter, curb top, rim and the lowest doorway side; give them in [street.levels].";
constexpr std::string_view kGetWalks =
    "Measure from the back of the curb to the walk, or give [street.walks], or `walk` in [lots.surfaces].";
constexpr std::string_view kGetSoil =
    "Dig the test hole: see what comes at which depth, give [soil.hazards].";
constexpr std::string_view kGetHazards =
    "Ask the city or an engineer for a soil report, then give [soil.hazards].";
constexpr std::string_view kGetLines =
    "Call the free line-marking service before any digging; give what it marks as [street.buried_lines].";
constexpr std::string_view kGetCurbSpace =
    "Read the signs and paint along the curb and give [street.curb_space].";
constexpr std::string_view kGetFlow =
    "Give elevation that covers all ground above the cut, and watch the gutter in a rain.";
constexpr std::string_view kGetNames =
    "Give curbs with the names of their streets, or measure to the corner.";

// What to do beyond the limit.
constexpr std::string_view kMoveIt = "Move the basin along the curb, or make it shorter.";
constexpr std::string_view kMoveTree = "Plant the tree elsewhere, or leave it out.";
constexpr std::string_view kRaise = "Raise the low side with a berm, or take another place.";
constexpr std::string_view kNarrower = "Make the basin narrower or shallower.";
constexpr std::string_view kOtherPlace = "Take another place.";
constexpr std::string_view kAsk = "Ask a licensed engineer; without advice take another place.";
constexpr std::string_view kAskCity = "Ask the street department; move the basin off this part of the curb.";

struct Numbers {
  std::string_view unit;
  base::Dimension dimension = Length;
  Direction direction = Direction::AtLeast;
  std::optional<double> look_at, limit;
};
Numbers least(std::string_view unit, std::optional<double> look_at, std::optional<double> limit,
              base::Dimension dimension = Length) {
  return {unit, dimension, Direction::AtLeast, look_at, limit};
}
Numbers most(std::string_view unit, std::optional<double> look_at, std::optional<double> limit,
             base::Dimension dimension = Length) {
  return {unit, dimension, Direction::AtMost, look_at, limit};
}

struct Says {
  std::string_view source;
  std::string_view note = "";
};

class Table {
 public:
  void group(std::string_view name) { group_ = name; }
  void add(RuleId id, std::string_view key, UsedFor used_for, std::string_view measures,
           const Numbers& numbers, const Says& says, std::string_view get, std::string_view mend,
           bool safety = true) {
    BuiltInRule rule;
    rule.kind = {.id = id,
                 .key = key,
                 .measures = measures,
                 .used_for = used_for,
                 .dimension = numbers.dimension,
                 .direction = numbers.direction,
                 .safety = safety,
                 .unit = numbers.unit,
                 .get = get,
                 .mend = mend,
                 .group = group_};
    rule.look_at = numbers.look_at;
    rule.limit = numbers.limit;
    rule.source = says.source;
    rule.note = says.note;
    rules.push_back(rule);
  }
  std::vector<BuiltInRule> rules;

 private:
  std::string_view group_;
};

void add_street(Table& t) {
  using enum RuleId;
  t.group("The street");
  t.add(GutterGrade, "gutter_grade", Basin, "fall of the gutter at the cut", most("%", 4, 8, Slope),
        {kCommon, "a cut takes less the steeper the gutter (HEC-22, 3rd ed., ch. 4)"}, kGetHeights,
        "Take a flatter place, or a longer cut with a dip.", false);
  t.add(GutterGradeLeast, "gutter_grade_least", Basin, "fall of the gutter at the cut",
        least("%", 0.3, kNone, Slope),
        {"Texas DOT, Hydraulic Design Manual, ch. 10, section 6",
         "flatter gutters stand and fill with dirt; the formulas for cuts on a grade end here"},
        kGetHeights, "", false);
  t.add(CrossSlope, "cross_slope", Basin, "fall of the pavement toward the curb", most("%", 4, 6, Slope),
        {kToronto, "page Curb cuts: 1.5 to 4 %; the limit is common practice"}, kGetHeights, kOtherPlace,
        false);
  t.add(CrossSlopeLeast, "cross_slope_least", Basin, "fall of the pavement toward the curb",
        least("%", 1.5, 0, Slope),
        {kToronto, "page Curb cuts: 1.5 to 4 %; under 0 the water runs away from this curb"}, kGetHeights,
        "Take the other side of the street.", false);
  t.add(SpreadAtSite, "spread_at_site", Basin,
        "how much wider the water stands at the cut with the basins than without", most("ft", 0, 0.5),
        {kCommon, "in the worst of the storms that were run"}, kGetFlow,
        "Look which basin above sends water back, and make it larger or leave it out.");
  t.add(SpreadBelow, "spread_below", Basin,
        "how much wider the water stands at the next place below with the basins than without",
        most("ft", 0, 0.5), {kCommon, "in the worst of the storms that were run"}, kGetFlow,
        "Make the basin larger or leave it out.");
}

void add_basin(Table& t) {
  using enum RuleId;
  t.group("Cut and basin");
  t.add(OpeningWidth, "opening_width", Basin, "length of the cut in the curb", least("in", 18, 12),
        {kWashington, "12 in at least, 18 in recommended"}, "Say basin.opening.", "Make the cut longer.",
        false);
  t.add(BackOfCurb, "back_of_curb", Basin, "ground kept between the back of the curb and the water line",
        least("m", kNone, 0.3), {kSanMateo, "1 ft there; from a humid climate, ask your city for its own"},
        "Say basin.setback.", "Move the basin farther behind the curb.");
  t.add(RoadBase, "road_base", Basin, "ground kept between the road's base and standing water",
        least("m", kNone, 0.3), {kCommon, "nearer to it a barrier down to the base's foot is needed"},
        "Say basin.setback.", "Move the basin farther behind the curb, or plan a barrier.");
  t.add(StepOut, "step_out", Basin, "firm strip beside parked cars", least("in", kNone, 18),
        {"a Californian municipal code, ch. 11.46 (18 in); NACTO, Urban Street Stormwater Guide, 2017 (12 "
         "to 24 in)"},
        "Say with [street.curb_space] where cars may park; a layer without parking there says no.",
        "Leave a paved strip of this width behind the curb.");
  t.add(StripWidth, "strip_width", Basin, "width of the strip between curb and walk, or lot",
        least("ft", 6, kNone), {kSanMateo, kHumid}, kGetWalks, "");
  t.add(Shelf, "shelf", Basin, "flat ground left between the basin and the walk", least("in", kNone, 12),
        {kCommon, "from memory: 6 to 12 in, an edge where the drop is more than 6 in"}, kGetWalks, kNarrower);
  t.add(BasinLength, "basin_length", Basin, "length of the basin along the curb", least("ft", kNone, 8),
        {kCommon, "cities ask for 10 ft (New York), 15 ft (Madison), 20 ft (San Mateo County)"},
        "Say basin.length.", "Make the basin longer.", false);
  t.add(FloorWidth, "floor_width", Basin, "width of the basin's floor", least("m", kNone, 0.45),
        {kCommon, "room for a shovel and for roots"}, "Say basin.width.",
        "Make the basin wider or shallower, or its sides steeper.", false);
  t.add(SideSlope, "side_slope", Basin, "slope of the basin's sides, so many across for one down",
        least("to 1", 3, 2, Plain),
        {kNacto, "bioretention swale: 3:1 or flatter, 2:1 only where it is tight and shallow"},
        "Say basin.side_slope.", "Make the sides flatter.");
  t.add(Ponding, "ponding", Basin, "depth of water above the mulch when full", most("in", 9, 12),
        {kNacto, "Coeur d'Alene, Idaho: 6 in; NACTO: 12 in overall"}, "Say basin.ponding.",
        "Make the basin shallower.");
  t.add(PondingLeast, "ponding_least", Basin, "depth of water above the mulch when full",
        least("in", kNone, 3), {kCommon, "shallower basins fill with dirt in one season"},
        "Say basin.ponding.", "Make the basin deeper.", false);
  t.add(DropBesideWalk, "drop_beside_walk", Basin, "from the top of the curb down to the mulch",
        most("in", 12, 24),
        {"ADAAG Manual (drops beside a walk are hazardous where it is narrow; it gives no number)",
         "the numbers are common practice; a low edge beside the walk mends it"},
        kGetHeights, "Make the basin shallower, or put a low edge beside the walk.");
  t.add(WalkWidth, "walk_width", Both, "clear width of the walk beside the basin", least("ft", 5, 4),
        {kSanMateo, "5 ft through-way; 4 ft: PROWAG, 2023, from memory"}, kGetWalks,
        "Keep off the walk; ask the city before it is narrowed.");
  t.add(Rim, "rim", Basin, "from the cut's invert up to the lowest ground around the basin",
        least("in", kNone, 0), {kCommon, "below 0 the street runs out over the lot whenever it rains"},
        kGetLevels, kRaise);
  t.add(Freeboard, "freeboard", Basin,
        "from the pool when all is full, in the largest storm, up to the lowest ground around the basin",
        least("in", kNone, 2),
        {kCommon, "planters keep 2 to 6 in (from memory); below 0 the street drains over the lot"},
        kGetLevels, kRaise);
  t.add(DoorwayFreeboard, "doorway_freeboard", Basin,
        "from the pool when all is full up to the ground at the lowest doorway side near",
        least("in", kNone, 2),
        {kCommon, "as for `freeboard`; below 0 the pool can stand higher than a doorway"},
        "Give [lots.buildings] and elevation, or shoot the doorway; give it in [street.levels].",
        "Take another place, or ask a licensed engineer.");
}

void add_water(Table& t) {
  using enum RuleId;
  t.group("Water and soil");
  t.add(Catchment, "catchment", Basin, "ground that drains to the cut", most("ac", 1, kNone, Area),
        {kMpca, kHumid}, kGetFlow, "", false);
  t.add(CatchmentPaved, "catchment_paved", Basin, "pavement and roofs that drain to the cut",
        most("ac", 0.5, kNone, Area), {kMpca, kHumid}, kGetFlow, "", false);
  t.add(CatchmentLeast, "catchment_least", Basin, "ground that drains to the cut",
        least("m2", 200, 100, Area), {kCommon, "less brings too little water to be worth a cut"}, kGetFlow,
        "Take a place with more street above it.", false);
  t.add(DrainTime, "drain_time", Basin, "time in which a full basin soaks away", most("h", 24, 48, Duration),
        {kToronto, "24 h wanted, 48 h at most; New York City 48 h, Apache Junction, Arizona 36 h"},
        "Say basin.infiltration, best from a test hole.", "Make the basin shallower, or loosen the soil.");
  t.add(StandingWater, "standing_water", Basin, "time in which a full basin soaks away",
        most("h", kNone, 72, Duration),
        {"New York City DEP (mosquito larvae need 72 h); California Department of Public Health (96 h)", ""},
        "Say basin.infiltration, best from a test hole.", "Make the basin shallower: mosquitoes.");
  t.add(Infiltration, "infiltration", Basin, "rate at which the floor takes water",
        least("in/h", kNone, 0.5, Rate),
        {"City of Coeur d'Alene, Idaho: infiltration basins (0.5 in/h)",
         "Minnesota allows 0.2 in/h; a soil map alone never makes it within the limit"},
        "Fill a test hole three times, take the last rate ([street.field]).",
        "Loosen the soil, or take another place.");
  t.add(Hardpan, "hardpan", Basin, "from the floor down to rock or hardpan", least("ft", kNone, 3),
        {kMpca, "bedrock; for hardpan common practice"}, kGetSoil,
        "Break it through, or take another place.");
  t.add(WaterTable, "water_table", Basin, "from the floor down to the water table", least("ft", kNone, 3),
        {kMpca, kHumid}, kGetSoil, kOtherPlace);
  t.add(SwellingGround, "swelling_ground", Basin, "distance to ground that swells when wet",
        least("ft", kNone, 10), {kCommon}, kGetHazards, kAsk);
  t.add(CollapsingGround, "collapsing_ground", Basin, "distance to ground that settles when wet",
        least("ft", kNone, 10), {kCommon}, kGetHazards, kAsk);
  t.add(DirtyGround, "dirty_ground", Basin, "distance to ground with harmful waste in it",
        least("ft", kNone, 30), {kCommon}, kGetHazards, kAsk);
  t.add(Well, "well", Basin, "distance to the nearest well", least("ft", 100, 50),
        {kMpca, "50 ft; 100 ft for a public well where the ground lets much through"},
        "Ask the water department or the state's list of wells; give [lots.wells].", kOtherPlace);
  t.add(Septic, "septic", Basin, "distance to the nearest septic field", least("ft", kNone, 35),
        {kMpca, kHumid}, "Ask the neighbours; give [lots.wells] with kind `septic`.", kOtherPlace);
}

void add_built(Table& t) {
  using enum RuleId;
  t.group("What stands around");
  t.add(Building, "building", Basin, "distance to the nearest building", least("ft", kNone, 10),
        {kMpca, kHumid}, "Give [lots.buildings].", kMoveIt);
  t.add(PropertyLine, "property_line", Basin, "distance to the nearest lot", least("ft", kNone, 3),
        {kMadison, kTerraceHumid}, "Give [lots.lots], or ask where the public ground ends.", kNarrower);
  t.add(Driveway, "driveway", Basin, "distance to the nearest driveway", least("ft", kNone, 3),
        {kMadison, "San Mateo County: 2 ft"},
        "Give curbs with their gaps ([street.curbs] with kind), or [street.driveways].", kMoveIt);
  t.add(Ramp, "ramp", Basin, "distance to the nearest curb ramp", least("ft", kNone, 3),
        {kMadison, kTerraceHumid}, "Give [street.ramps].", kMoveIt);
  t.add(RampBelow, "ramp_below", Basin, "way down the gutter to the next curb ramp", least("ft", 10, kNone),
        {kCommon, "what the mouth drops lies in the way of those who cross"}, "Give [street.ramps].", "");
  t.add(StopBelow, "stop_below", Basin, "way down the gutter to the next bus stop", least("ft", 10, kNone),
        {kCommon, "water that goes on splashes those who wait"}, kGetCurbSpace, "");
  t.group("Pipes, poles and trees");
  t.add(HydrantBasin, "hydrant", Basin, "distance to the nearest hydrant", least("ft", kNone, 5),
        {"3 ft clear all round: Lincoln County NC, Portsmouth OH",
         "5 ft is ours, between these and what trees keep"},
        "Give [street.hydrants].", kMoveIt);
  t.add(HydrantTree, "hydrant_tree", Tree, "distance to the nearest hydrant", least("ft", kNone, 10),
        {kTreeCodes}, "Give [street.hydrants].", kMoveTree);
  t.add(PoleBasin, "pole", Basin, "distance to the nearest pole or street light", least("ft", kNone, 5),
        {kCommon}, "Give [street.poles].", kMoveIt);
  t.add(PoleTree, "pole_tree", Tree, "distance to the nearest pole or street light", least("ft", 20, 10),
        {kTreeCodes, "Los Angeles 20 ft, Indianola 10 to 30 ft by the tree's size"}, "Give [street.poles].",
        kMoveTree);
  t.add(MeterBasin, "meter", Basin, "distance to the nearest meter", least("ft", kNone, 3), {kCommon},
        "Give [street.meters].", kMoveIt);
  t.add(MeterTree, "meter_tree", Tree, "distance to the nearest meter", least("ft", kNone, 6),
        {"City of Los Angeles: street trees"}, "Give [street.meters].", kMoveTree);
  const auto buried = [&t](RuleId id, std::string_view key, std::string_view measures) {
    t.add(id, key, Basin, measures, least("ft", kNone, 3), {kCommon, "3 to 5 ft, from memory"}, kGetLines,
          "Move the basin; never dig by machine near a line.");
  };
  buried(BuriedWater, "buried_water", "distance to the nearest buried water line");
  buried(BuriedGas, "buried_gas", "distance to the nearest buried gas line");
  buried(BuriedSewer, "buried_sewer", "distance to the nearest sewer");
  buried(BuriedPower, "buried_power", "distance to the nearest buried power line");
  buried(BuriedTelecom, "buried_telecom", "distance to the nearest buried telephone or data line");
  buried(BuriedOther, "buried_other", "distance to the nearest buried line of another or an unknown kind");
  t.add(BuriedTree, "buried_tree", Tree, "distance to the nearest buried line of any kind",
        least("ft", kNone, 5), {kTreeCodes}, kGetLines, kMoveTree);
  t.add(Cover, "cover", Basin, "distance to the nearest cover or valve", least("ft", kNone, 3), {kCommon},
        "Give [street.covers].", kMoveIt);
  t.add(ExistingTree, "existing_tree", Basin,
        "from the basin to the roots of the nearest tree (its crown's edge, at most 15 ft from the stem)",
        least("ft", kNone, 0), {kMadison, "begin to dig at the drip line or 15 ft off, whichever is less"},
        "Give [trees.existing], with crowns.", kMoveIt);
  t.add(TreeSpacing, "tree_spacing", Tree, "distance to the nearest tree", least("ft", 40, 25),
        {"City of Syracuse, New York: 40 ft large, 30 ft medium, 25 ft small trees", kHumid},
        "Give [trees.existing].", kMoveTree);
  t.add(OverheadWire, "overhead_wire", Tree, "distance to the nearest overhead wire", least("ft", 10, kNone),
        {"Oxford OH, Lake Park MN, Benkelman NE: only small trees within 10 ft"},
        "Look up, and give [street.overhead_wires].", "");
}

void add_traffic(Table& t) {
  using enum RuleId;
  t.group("Corners and the use of the curb");
  t.add(CornerBasin, "corner", Basin, "distance along the curb to the nearest corner", least("ft", 20, kNone),
        {kCommon}, kGetNames, "");
  t.add(CornerTree, "corner_tree", Tree, "distance along the curb to the nearest corner",
        least("ft", kNone, 30), {kTreeCodes, "Oxford 30, Syracuse 30 (major streets 50), Indianola 25 ft"},
        kGetNames, kMoveTree);
  t.add(SightTriangle, "sight_triangle", Both,
        "side of the sight triangle at the corner that the basin stays out of", least("ft", 25, kNone),
        {"Elizabethtown KY and Georgetown TX (25 ft on local streets)",
         "within it plants stay under 24 in (NACTO)"},
        kGetNames, "");
  t.add(AccessibleParking, "accessible_parking", Basin, "distance to the nearest accessible parking space",
        least("ft", kNone, 3), {kCommon}, kGetCurbSpace, kAskCity);
  t.add(Stop, "stop", Basin, "distance to the nearest bus stop", least("ft", kNone, 3), {kCommon},
        kGetCurbSpace, kAskCity);
  t.add(Loading, "loading", Basin, "distance to the nearest loading place", least("ft", kNone, 3), {kCommon},
        kGetCurbSpace, kAskCity);
  t.add(FireLane, "fire_lane", Basin, "distance to the nearest fire lane", least("ft", kNone, 3), {kCommon},
        kGetCurbSpace, kAskCity);
  t.add(BicycleLane, "bicycle_lane", Basin, "distance to the nearest bicycle lane beside the curb",
        least("ft", 5, kNone), {kCommon, "a mouth with a dip is a hazard to wheels"}, kGetCurbSpace, "");
}

std::vector<BuiltInRule> all() {
  Table table;
  add_street(table);
  add_basin(table);
  add_water(table);
  add_built(table);
  add_traffic(table);
  base::ensure(table.rules.size() == kRules, "every rule is in the table");
  for (std::size_t i = 0; i < kRules; ++i) {
    base::ensure(static_cast<std::size_t>(table.rules[i].kind.id) == i, "rules stand in the order of RuleId");
  }
  return table.rules;
}

}  // namespace

const std::vector<BuiltInRule>& built_in_rules() {
  static const std::vector<BuiltInRule> rules = all();
  return rules;
}

}  // namespace curbshed::siting
