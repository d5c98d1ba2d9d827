#include "curbshed/base/notes.hpp"

#include <cmath>

namespace curbshed::base {
namespace {

using enum NoteId;

constexpr std::array<NoteText, kNoteCount> kTexts = {{
    {DrainsNotGiven, "drains_not_given", "Storm drains were not given; areas may be too large.", ""},
    {InletAssumed, "inlet_assumed",
     "An inlet without attributes was taken as a 1.5 m curb opening, one tenth clogged.", ""},
    {InletUnreached, "inlet_unreached", "No street water path leads through this inlet; it takes nothing.",
     ""},
    {GradeFlatOrUnknown, "grade_flat_or_unknown",
     "The street's grade is under twice its error: flat or unknown.", "m/m"},
    {GradeBelowFormula, "grade_below_formula",
     "The grade is under the least that the formula for openings on a grade takes; that least was used.",
     "m/m"},
    {CrossSlopeAssumed, "cross_slope_assumed",
     "The cross slope could not be fitted; the study's default was used.", ""},
    {CurbSideUnknown, "curb_side_unknown", "It could not be told on which side of this curb the street lies.",
     ""},
    {CurbHeightAssumed, "curb_height_assumed", "A curb without a height took the default of its kind.", "m"},
    {EdgeCutsArea, "edge_cuts_area",
     "The area is cut by the edge of the data: read its numbers as \"at least\".", ""},
    {RoofOverHole, "roof_over_hole", "Roofs over holes in the elevation model: their water is not counted.",
     "m2"},
    {DepressionPassed, "depression_passed", "Small hollows were passed through; the value is the deepest.",
     "m"},
    {SagKept, "sag_kept", "Hollows were kept as sags where water ponds; the value is the deepest.", "m"},
    {SideWayDropped, "side_way_dropped", "A side way was left out because water would run in a circle.", ""},
    {CornerUncertain, "corner_uncertain",
     "Heights do not tell whether gutter water turns or crosses at a corner; the cuts below show both areas. "
     "Look in the rain, then draw a flow line or a corner point. The value is the height that decides.",
     "m"},
    {SlopeAtFloor, "slope_at_floor", "Cells so flat that the least slope was used for the time of travel.",
     ""},
    {OpeningOutsideTests, "opening_outside_tests",
     "Openings shorter than the 1.5 m of the flume tests: the real capture may differ much.", "m"},
    {GutterAboveCurb, "gutter_above_curb",
     "Water in the gutter rose above the curb and no lower way out is known; the value is the depth.", "m"},
    {BasinSpillsOverRim, "basin_spills_over_rim",
     "The rim is lower than the cut: the basin spills over its rim; the value is the difference.", "m"},
    {PeakRises, "peak_rises", "The peak downstream is higher with the cuts than without.", "m3/s"},
    {PeakOffRational, "peak_off_rational",
     "Without cuts, the peak at an outfall is not within 0.5 to 1.5 times C*i*A over its own time of "
     "concentration; outfalls.csv says why for each. The value is the largest ratio.",
     "times"},
    {SurfaceClassMissing, "surface_class_missing", "Cells without a surface class took the default class.",
     ""},
    {SoilGroupMissing, "soil_group_missing", "Cells without a soil group took the default group.", ""},
    {HeightUnitFromStudy, "height_unit_from_study",
     "The elevation file does not state its height unit; the study's was used.", ""},
    {DatumShiftUnknown, "datum_shift_unknown",
     "A layer was converted between datums without a known shift: it may lie 1 to 2 m off.", ""},
    {FeatureSetAside, "feature_set_aside", "Features that could not be used were set aside.", ""},
    {CutSnapped, "cut_snapped", "A cut was moved to its gutter; the value is the distance.", "m"},
    {InflowNotResolved, "inflow_not_resolved",
     "An inner calculation reached its step limit; the value is what was left over.", ""},
    {BasinGroundUnknown, "basin_ground_unknown",
     "Part of the basin's place or rim has no elevation: its rim may be lower than stated.", "m2"},
    {BasinOnHardGround, "basin_on_hard_ground",
     "Part of the basin's place is street pavement or under a roof.", "m2"},
    {BasinsOverlap, "basins_overlap",
     "Basins lie on the same ground: each is counted in full, so build only one of them.", ""},
    {BasinAcrossDriveway, "basin_across_driveway",
     "A driveway, ramp or other gap of the curb lies along the basin.", ""},
    {CutOnDriveway, "cut_on_driveway",
     "A cut stands on a driveway, ramp or other gap in the curb; there is no curb to cut.", ""},
    {StreetWidthAssumed, "street_width_assumed",
     "The width of a street is the default of its class: neither its line nor the ground tells it.", "m"},
    {WaterNotAlongCurb, "water_not_along_curb",
     "Water does not run along this curb: the pavement falls away from it.", ""},
    {CutWithoutGutter, "cut_without_gutter",
     "A cut stands at a curb along which water does not run: the pavement falls away from it.", ""},
    {ValuePlaceholder, "value_placeholder",
     "A value of the study is still a placeholder; only you can find the right one.", ""},
    {PlaceGrown, "place_grown",
     "Sides of the study's place were moved out to take in the water of its cuts; the value is the farthest.",
     "m"},
    {PlaceStillCut, "place_still_cut",
     "Water of a cut still comes in over the edge where the place stopped growing.", ""},
    {TankWithoutRoof, "tank_without_roof",
     "A lot with a rain tank has no roof whose water comes to the street: its tank does nothing here.", ""},
}};

constexpr bool in_order() {
  for (std::size_t i = 0; i < kNoteCount; ++i) {
    if (static_cast<std::size_t>(kTexts[i].id) != i || kTexts[i].key.empty() || kTexts[i].text.empty()) {
      return false;
    }
  }
  return true;
}
static_assert(in_order(), "the table of notes follows NoteId");

// The larger by size; of two of one size the positive one, so that the order of adding does not matter.
double worse(double a, double b) {
  const double size_a = std::abs(a);
  const double size_b = std::abs(b);
  if (size_a == size_b) {
    return a > b ? a : b;
  }
  return size_a > size_b ? a : b;
}

}  // namespace

const NoteText& note_text(NoteId id) { return kTexts[static_cast<std::size_t>(id)]; }

void Notes::add(NoteId id, double value, std::string_view feature, std::int64_t times) {
  Entry& entry = entries_[static_cast<std::size_t>(id)];
  entry.count += times;
  entry.worst = worse(entry.worst, value);
  if (entry.first_feature.empty()) {
    entry.first_feature = feature;
  }
}

void Notes::merge(const Notes& later) {
  for (std::size_t i = 0; i < kNoteCount; ++i) {
    const Entry& other = later.entries_[i];
    add(static_cast<NoteId>(i), other.worst, other.first_feature, other.count);
  }
}

}  // namespace curbshed::base
