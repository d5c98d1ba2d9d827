// What was measured or seen on the street: it counts before what was fitted or assumed.
#pragma once

#include "curbshed/base/error.hpp"
#include "curbshed/street/network.hpp"

#include <array>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace curbshed::study {

struct ChainModel;
struct BasinParams;

/// Fractions, metres and metres a second.
enum class FieldValue : std::uint8_t {
  Grade,
  CrossSlope,
  CurbHeight,    ///< top of the curb above the gutter
  GutterLevel,   ///< as the elevation model counts heights
  RimLevel,      ///< lowest point around the basin's place, the same
  RimBelowCurb,  ///< the same, below the top of the curb
  Infiltration,
  DoorwayAboveCurb,  ///< lowest doorway side near the basin, above the top of the curb (below it is negative)
  kCount
};
inline constexpr std::size_t kFieldValues = static_cast<std::size_t>(FieldValue::kCount);

/// One row as it was read. Without a value and without water it says nothing.
struct FieldRow {
  base::Where where;  ///< for messages
  std::string by;     ///< for files: "field.csv, line 3"
  std::string cut;    ///< id or place_id of a cut or drain inlet; "" = the nearest one to `at`
  std::optional<base::Point> at;
  std::array<std::optional<double>, kFieldValues> values;
  std::optional<bool> water_seen;
  std::optional<double> error_m;  ///< standard error of its levels; absent: kMeasuredError_m
  std::string method;
  std::string date;
  std::string words;
};

/// Of a level shot with a line level or an instrument, when the row does not say; common practice, no source.
inline constexpr double kMeasuredError_m = 0.005;

/// A value that counts instead of another one.
struct FieldOverride {
  std::int32_t node = -1;
  FieldValue what = FieldValue::Grade;
  double value = 0.0;
  double before = 0.0;
  std::string before_from;  ///< "fitted", "measured", or as the study says it
  std::string by;
  std::string method;
  std::string date;
};

/// A level that somebody shot.
struct MeasuredLevel {
  std::int32_t node = -1;
  FieldValue what = FieldValue::CurbHeight;  ///< one of curb, gutter, rim or doorway
  double value_m = 0.0;                      ///< as FieldValue counts it
  double error_m = kMeasuredError_m;
  std::string by;
  std::string method;
  std::string date;
};

/// Somebody looked while it rained.
struct WaterSeen {
  std::int32_t node = -1;
  bool seen = false;
  std::string by;
  std::string date;
};

/// A cut without water although much ground should drain to it.
struct DryCut {
  std::int32_t node = -1;
  double area_m2 = 0.0;
  std::string dates;  ///< "14 July, 2 August"; "" = not told
  std::string by;     ///< all rows
};

/// What is known of one node from the field; by FieldValue.
struct FieldMeasures {
  std::array<const FieldRow*, kFieldValues> rows{};
  std::optional<double> value(FieldValue what) const;
};

struct FieldFindings {
  std::vector<FieldOverride> overrides;  ///< by (node, value)
  std::vector<MeasuredLevel> levels;     ///< by (node, value)
  std::vector<WaterSeen> water;          ///< by (node, row)
  std::vector<DryCut> dry;               ///< the largest area first, ties in chain order
  const FieldOverride* find(std::int32_t node, FieldValue what) const;
  const MeasuredLevel* level(std::int32_t node, FieldValue what) const;
};

/// Rows brought to their nodes. A row names a cut or drain inlet by `cut`, else it is that within `reach_m`
/// of its place, the nearest one. Rows that say nothing are left out. InputError that names the row: a name
/// that is none, no cut near the place, one value given twice for a cut (also a rim both ways), a rim, a
/// doorway or an infiltration at a drain inlet, a level more than 3 m from the elevation model's. The order
/// of the rows does not matter.
class FieldNotes {
 public:
  FieldNotes(const std::vector<FieldRow>& rows, const street::Network& network,
             const std::vector<street::SitePlace>& places, double reach_m);

  /// Grade, cross slope, curb height and gutter level replace the network's. A curb that was measured moves
  /// the way over the curb that begins within 5 m of the cut.
  void correct_network(street::Network& network);
  /// Level of the curb's top at a node where its height or gutter was measured.
  std::optional<double> crest_m(const street::Network& network, std::size_t node) const;
  /// Rim and infiltration replace the basin's. infiltration_from: where the value before comes from.
  void correct_basin(const street::Network& network, std::size_t node, std::string_view infiltration_from,
                     BasinParams& basin);
  /// Looks for cuts without water; gives everything that was found.
  FieldFindings finish(const ChainModel& model, double dry_area_m2);

 private:
  void take(const FieldRow& row, std::int32_t node, const street::Network& network);
  void replace(std::int32_t node, FieldValue what, double& value, double now, std::string before_from);

  std::map<std::int32_t, FieldMeasures> measures_;
  FieldFindings findings_;
};

/// "measured", "fitted" or "study".
std::string_view from_word(street::ValueFrom from);

}  // namespace curbshed::study
