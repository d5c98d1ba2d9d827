// Curb lines on the grid: walls, crests, the gutter's cells and the lowering that keeps water in them.
#pragma once

#include "curbshed/base/notes.hpp"
#include "curbshed/base/parallel.hpp"
#include "curbshed/base/progress.hpp"
#include "curbshed/base/quantity.hpp"
#include "curbshed/terrain/walls.hpp"

#include <optional>
#include <string>

namespace curbshed::terrain {

enum class CurbKind : std::uint8_t { Vertical, Rolled, Flush, None, Gap };
enum class StreetSide : std::uint8_t { Unknown, Left, Right };  ///< looking along the line

struct CurbLine {
  std::string id;      ///< as in the user's layer
  std::string street;  ///< name, may be empty
  std::string side;    ///< "north", … may be empty
  base::Polyline line;
  CurbKind kind = CurbKind::Vertical;
  std::optional<double> height_m;  ///< overrides the default of the kind
  StreetSide street_side = StreetSide::Unknown;
};

struct CurbSettings {
  double vertical_height_m = 0.15;
  double rolled_height_m = 0.10;
  double lip_m = 0.025;      ///< least crest of a gap above the gutter
  double gap_look_m = 3.0;   ///< crest of a gap = highest surface along its drive line within this
  double lowering_m = 0.10;  ///< 0 to 0.5
  double fade_m = 5.0;       ///< at free ends
  double default_cross_slope = 0.02;
  double fit_width_m = 3.0;  ///< cross-slope fit reaches this far from the curb (or to the crown)
};

/// A place on a curb, about one cell apart.
struct CurbStation {
  std::int32_t curb = 0;          ///< index into the curb lines
  double along_m = 0.0;           ///< from the line's first point
  base::Point at;                 ///< on the line
  base::Point to_street;          ///< unit vector, from the curb into the street
  std::int64_t gutter_cell = -1;  ///< street-side cell
  std::int64_t behind_cell = -1;  ///< lot-side cell, −1 outside or invalid
  float gutter_level_m = 0.0F;    ///< pavement carried to the curb face, before lowering
  float crest_m = 0.0F;
};

struct CurbField {
  Walls walls;                        ///< street → lot only
  Grid<std::uint8_t> gutter;          ///< 1 = street-side cell along a curb line (any kind but None)
  Grid<float> lowering_m;             ///< for directions only, ≥ 0
  std::vector<CurbStation> stations;  ///< by (curb, along)
  base::Notes notes;
  std::vector<std::int32_t> set_aside;        ///< curbs that could not be used …
  std::vector<std::string> set_aside_reason;  ///< … and why
};

/// Rules (reasons in docs/methods.md, "Curbs"):
/// `pavement` is 1 on carriageway, gutter and parking cells (empty = not given; then street_side must be set
/// or the curb is set aside). Street side: from the pavement cells 1 to 2 cells beside the line (the side
/// that a third of the line shows clearly), else the attribute. Curbs with pavement on both sides (medians of
/// no width) or on neither, without an attribute, are set aside; so are curbs outside the elevation, without
/// length, with bad coordinates or heights. Walls: for each of the 8 bearings, a step between cell centres
/// that crosses the line from the street side to the other side is walled; one-way. A cell that the line
/// crosses belongs to the side of its centre; a centre on the line is street. A step over several curbs takes
/// the highest of their crests. Ends within 1.5 cells are joined by a straight connector, so nothing leaks
/// where curbs meet. Gutter level at a station: plane fitted (robustly) to unlowered heights of pavement
/// cells wholly on the street side within fit_width_m (and not past the crown), 5 m to each side along the
/// curb (cross slope: 10 m) and on along the curbs that it meets, but not round a corner, carried to the curb
/// face; fewer than 6 such cells: nearest street-side cells
/// with default_cross_slope (note CrossSlopeAssumed). White noise of 0.03 m moves it by up to 0.008 m (0.5 m
/// cells) and 0.020 m (1 m cells), root mean square. Crest = gutter level + height; Flush: crest = gutter
/// level; None: no wall, no lowering; Gap: highest unlowered surface along the way out, square to the curb,
/// within gap_look_m of it, at least gutter level + lip. Gutter: street-side cells with a straight (not
/// diagonal) step over the line: one thin 8-connected band. Lowering: lowering_m in gutter cells, unbroken
/// through gaps and from one line to the next whose ends meet (within 1.5 cells), fading linearly to 0 over
/// fade_m at free ends; where the street falls toward the free end, over as much more (to 8 · fade_m) as
/// keeps the lowered bed from rising toward it. An end off the data is not free. Same bits for any number of
/// workers. Throws InputError for settings out of range.
CurbField place_curbs(const Ground& ground, const Grid<std::uint8_t>& pavement,
                      const std::vector<CurbLine>& curbs, const CurbSettings& settings,
                      base::Workers workers = {}, const base::Progress& progress = {});

/// Curb lines from pavement polygons where no curb layer exists: edges that two polygons share (same end
/// points to 1 mm) are inside the pavement and fall away; the rest is joined to lines. The street lies to the
/// left of each.
std::vector<CurbLine> curbs_from_pavement(const std::vector<base::Polygon>& pavement, double height_m);

/// The ground with the lowering taken off: directions only.
Ground lowered(const Ground& ground, const Grid<float>& lowering_m);

}  // namespace curbshed::terrain
