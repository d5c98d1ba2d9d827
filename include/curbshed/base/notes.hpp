// Notes: what a stage had to assume or noticed. Stages count; only the report turns them into words.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

namespace curbshed::base {

enum class NoteId : std::uint8_t {
  DrainsNotGiven,       ///< no inlet layer
  InletAssumed,         ///< an inlet without attributes took the assumed opening
  InletUnreached,       ///< an inlet with no street water path through it
  GradeFlatOrUnknown,   ///< fitted grade under twice its error
  GradeBelowFormula,    ///< grade under the least grade of the on-grade relation; that least was used
  CrossSlopeAssumed,    ///< no usable cross-slope fit; the study's default was used
  CurbSideUnknown,      ///< a curb whose street side could not be told
  CurbHeightAssumed,    ///< curb without a height took the default of its kind
  EdgeCutsArea,         ///< receiver whose area is cut by the edge of the data
  RoofOverHole,         ///< roof over holes in the ground raster: water not counted
  DepressionPassed,     ///< small depression passed through
  SagKept,              ///< sag kept
  SideWayDropped,       ///< side way left out because water would run in a circle
  CornerUncertain,      ///< the ground does not tell whether corner water turns or crosses
  SlopeAtFloor,         ///< cells whose slope for travel time was on the floor
  OpeningOutsideTests,  ///< opening shorter than the flume tests (1.5 m)
  GutterAboveCurb,      ///< flow deeper than the curb and no lower way out known
  BasinSpillsOverRim,   ///< the rim is lower than the cut
  PeakRises,            ///< peak downstream rises
  PeakOffRational,      ///< base-case peak at an outfall outside 0.5 to 1.5 of C·i·A
  SurfaceClassMissing,  ///< cells with no surface class took the default class
  SoilGroupMissing,     ///< cells with no soil group took the default group
  HeightUnitFromStudy,  ///< height unit came from the study key
  DatumShiftUnknown,    ///< layer converted between datums without a known shift (1-2 m)
  FeatureSetAside,      ///< bulk feature set aside
  CutSnapped,           ///< cut moved to its gutter
  InflowNotResolved,    ///< an inner iteration reached its step limit
  BasinGroundUnknown,   ///< part of a basin's place or rim lies on ground of unknown height
  BasinOnHardGround,    ///< part of a basin's place is street pavement or under a roof
  BasinsOverlap,        ///< two basins on the same ground
  BasinAcrossDriveway,  ///< a gap of the curb lies along the basin
  CutOnDriveway,        ///< a cut whose nearest curb is a gap: nothing to cut
  StreetWidthAssumed,   ///< a street whose width is the default of its class
  WaterNotAlongCurb,    ///< a curb away from which the pavement falls
  CutWithoutGutter,     ///< a cut at such a curb
  ValuePlaceholder,     ///< a value of the study is still a placeholder
  PlaceGrown,           ///< sides of the place moved out for the water of its cuts
  PlaceStillCut,        ///< a cut whose area still touches the edge where growing stopped
  TankWithoutRoof,      ///< a lot with a tank and no roof whose water reaches the street
  kCount
};
inline constexpr std::size_t kNoteCount = static_cast<std::size_t>(NoteId::kCount);

/// Text with its unit; "{}" is not used: the report adds count, worst value and first feature.
struct NoteText {
  NoteId id;
  std::string_view key;   ///< stable, for files: `drains_not_given`
  std::string_view text;  ///< one plain sentence
  std::string_view unit;  ///< unit of the worst value, "" if it has none
};
const NoteText& note_text(NoteId id);

/// How often, the worst value and the first feature of each note.
class Notes {
 public:
  struct Entry {
    std::int64_t count = 0;
    double worst = 0.0;
    std::string first_feature;
  };
  void add(NoteId id, double value = 0.0, std::string_view feature = {}, std::int64_t times = 1);
  void merge(const Notes& later);
  const Entry& at(NoteId id) const { return entries_[static_cast<std::size_t>(id)]; }
  bool has(NoteId id) const { return at(id).count > 0; }

 private:
  std::array<Entry, kNoteCount> entries_{};
};

}  // namespace curbshed::base
