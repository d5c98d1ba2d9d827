// The rules by which a place for a cut, a basin or a tree is looked at: what each measures, from what value
// on somebody must look, where the limit is, who says so.
#pragma once

#include "curbshed/base/measure_text.hpp"
#include "curbshed/study/rule_rows.hpp"

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace curbshed::siting {

enum class RuleId : std::uint8_t {
  // the street
  GutterGrade,
  GutterGradeLeast,
  CrossSlope,
  CrossSlopeLeast,
  SpreadAtSite,
  SpreadBelow,
  // cut and basin
  OpeningWidth,
  BackOfCurb,
  RoadBase,
  StepOut,
  StripWidth,
  Shelf,
  BasinLength,
  FloorWidth,
  SideSlope,
  Ponding,
  PondingLeast,
  DropBesideWalk,
  WalkWidth,
  Rim,
  Freeboard,
  DoorwayFreeboard,
  // water and soil
  Catchment,
  CatchmentPaved,
  CatchmentLeast,
  DrainTime,
  StandingWater,
  Infiltration,
  Hardpan,
  WaterTable,
  SwellingGround,
  CollapsingGround,
  DirtyGround,
  Well,
  Septic,
  // what stands around
  Building,
  PropertyLine,
  Driveway,
  Ramp,
  RampBelow,
  StopBelow,
  HydrantBasin,
  HydrantTree,
  PoleBasin,
  PoleTree,
  MeterBasin,
  MeterTree,
  BuriedWater,
  BuriedGas,
  BuriedSewer,
  BuriedPower,
  BuriedTelecom,
  BuriedOther,
  BuriedTree,
  Cover,
  ExistingTree,
  TreeSpacing,
  OverheadWire,
  CornerBasin,
  CornerTree,
  SightTriangle,
  AccessibleParking,
  Stop,
  Loading,
  FireLane,
  BicycleLane,
  kCount
};
inline constexpr std::size_t kRules = static_cast<std::size_t>(RuleId::kCount);

enum class UsedFor : std::uint8_t { Basin, Tree, Both };
enum class Direction : std::uint8_t { AtMost, AtLeast };

/// What the program knows of a rule: this does not change with a table.
struct RuleKind {
  RuleId id = RuleId::kCount;
  std::string_view key;       ///< "building"
  std::string_view measures;  ///< "distance from the basin to the nearest building"
  UsedFor used_for = UsedFor::Basin;
  base::Dimension dimension = base::Dimension::Length;
  Direction direction = Direction::AtLeast;
  bool safety = true;      ///< without data the place is at best to be measured
  std::string_view unit;   ///< of the built-in numbers
  std::string_view get;    ///< how to get the data, one sentence
  std::string_view mend;   ///< what to do beyond the limit, one sentence
  std::string_view group;  ///< heading in the docs
};
/// In the order of RuleId.
const std::vector<RuleKind>& rule_kinds();
const RuleKind& rule_kind(RuleId id);
/// nullptr when there is none.
const RuleKind* find_rule_kind(std::string_view key);

/// Name of a limit that is ours.
inline constexpr std::string_view kOurs = "ours";

/// One rule in use. Beyond `look_at` somebody must look; beyond `limit` the place is out. Equal is within.
struct Rule {
  RuleId id = RuleId::kCount;
  bool on = true;
  std::string unit;                      ///< as the table has it; "to 1" for a slope of sides
  std::optional<double> look_at, limit;  ///< SI
  std::string source;
  std::string whose;  ///< kOurs, or who set the limit
  std::string note;   ///< "" = none
  std::int64_t line = 0;
  bool ours() const { return whose == kOurs; }
};

struct RuleSet {
  std::string file;         ///< "" = built in
  std::vector<Rule> rules;  ///< one of each RuleId, in its order
  const Rule& at(RuleId id) const { return rules[static_cast<std::size_t>(id)]; }
};

/// Factor from a rule's unit to SI. InputError (without a place) when it does not fit.
double rule_unit_factor(std::string_view unit, base::Dimension dimension);
/// A value in the rule's unit, as short as it may be ("9.8").
std::string in_rule_unit(const Rule& rule, double value_si);
/// "at most 9 in, limit 12 in", "limit at least 10 ft".
std::string limit_words(const Rule& rule);

/// The built-in table.
const RuleSet& default_rules();

/// Rules of a file: a row counts instead of the built-in row as a whole, rules without a row keep theirs; `on
/// = false` switches one off. InputError with file and line: a rule that is not known, twice, without a unit,
/// with a unit that does not fit, without a source, without look_at and limit, look_at beyond limit, another
/// direction or use than ours; a set under which no basin can exist (rules_together.hpp).
RuleSet rules_of(const study::RuleRows& rows);

/// A table as a file that rules_of reads back the same.
std::string rules_toml(const RuleSet& rules);

std::string_view word_of(UsedFor used_for);     ///< "basin", "tree", "both"
std::string_view word_of(Direction direction);  ///< "at most", "at least"

}  // namespace curbshed::siting
