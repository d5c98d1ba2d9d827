// Curbs and pavement where only the middle lines of streets are known.
#pragma once

#include "curbshed/terrain/curbs.hpp"

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace curbshed::street {

enum class StreetClass : std::uint8_t { Alley, Residential, Collector, Arterial, CulDeSac };
inline constexpr std::size_t kStreetClasses = 5;

/// One line of the user's. A street may come in any number of lines, drawn either way.
struct Centreline {
  std::string id;      ///< as in the user's layer; names the line in messages only
  std::string street;  ///< may be empty
  StreetClass street_class = StreetClass::Residential;
  std::optional<double> width_m;          ///< curb to curb
  std::optional<terrain::CurbKind> kind;  ///< absent: vertical; alleys: none unless the ground shows a step
  base::Polyline line;
};

/// Widths and radii are common practice, no source.
struct CentrelineSettings {
  std::array<double, kStreetClasses> class_width_m{4.5, 10.0, 12.0, 15.0, 10.0};
  double return_radius_m = 4.5;     ///< curb at street corners; at most 1.5 m where an alley comes in
  double bulb_radius_m = 12.0;      ///< of a CulDeSac whose ground shows none
  double section_spacing_m = 5.0;   ///< cross-sections of the ground
  double section_reach_m = 12.0;    ///< to each side; more where the street is said to be wider
  double vertical_height_m = 0.15;  ///< steps of at least 0.35 of it are looked for
  double elevation_error_m = 0.03;
  double error_range_m = 5.0;  ///< distance over which errors of the heights are alike
};

enum class WidthFrom : std::uint8_t {
  Line,    ///< attribute of the centreline
  Ground,  ///< cross-sections of this block
  Street,  ///< cross-sections of other blocks of the same street and class
  Class    ///< default of its class
};

/// How the pavement falls between its curbs.
enum class PavementFall : std::uint8_t {
  Unknown,
  Crowned,   ///< to both curbs
  Inverted,  ///< to its middle: water runs along neither curb
  ToLeft,    ///< one-sided: water runs along the left curb only
  ToRight
};

/// What the cross-sections say of one side of a block.
struct SideFit {
  bool curb_shown = false;   ///< a step, or the low point of a gutter, in at least 35 % of the cross-sections
  double off_m = 0.0;        ///< from the drawn line to the curb; 0 when not shown
  double off_error_m = 0.0;  ///< standard error
  double share = 0.0;        ///< of the cross-sections that show it
  double step_m = 0.0;       ///< median height of the step; 0 for a low point without one
  double fall = 0.0;         ///< of the pavement toward this curb (outer part), m/m; negative: away from it
  double fall_error = 0.0;   ///< standard error
};

/// A street between two junctions, dead ends or edges of the data. Direction: from its western (then
/// southern) end, however it was drawn.
struct StreetBlock {
  std::string street;
  StreetClass street_class = StreetClass::Residential;
  terrain::CurbKind kind = terrain::CurbKind::Vertical;
  std::vector<std::string> lines;  ///< ids of the user's lines, sorted
  base::Polyline drawn;
  base::Polyline middle;  ///< of the pavement: `drawn` moved sideways by off_m
  double off_m = 0.0;     ///< middle to the left of the drawn line
  double width_m = 0.0;
  double width_error_m = 0.0;  ///< standard error
  WidthFrom width_from = WidthFrom::Class;
  double curb_error_m = 0.0;  ///< standard error of its curbs' position across the street
  std::optional<double>
      ground_width_m;            ///< what the cross-sections say, also where the line's attribute counts
  int sections = 0;              ///< cross-sections looked at
  std::array<SideFit, 2> sides;  ///< left, right
  PavementFall fall = PavementFall::Unknown;
  std::array<std::string, 2> side_names;  ///< "north", …; of a divided street's inner curb "north median"
  std::array<std::string, 2> cross_streets;  ///< at its first and last point, "" = none named
  bool divided = false;                      ///< another line of the same street runs beside it
  bool runs_along(bool left) const;          ///< false only where the ground says that water does not
};

enum class CurbFrom : std::uint8_t { Layer, Pavement, Centreline };

/// What is known of a curb line besides its place; one a curb line.
struct CurbFacts {
  CurbFrom from = CurbFrom::Layer;
  std::optional<double> position_error_m;  ///< standard error across the street
  WidthFrom width_from = WidthFrom::Line;  ///< Centreline only
  bool water_runs_along = true;            ///< false: the pavement falls away from this curb
  std::int32_t block = -1;                 ///< index into the blocks, −1 none
};

struct UnusedLine {
  std::string id;
  std::string reason;
};

struct StreetCurbs {
  std::vector<StreetBlock> blocks;  ///< by street, then place
  std::vector<base::Polygon> pavement;
  std::vector<terrain::CurbLine> curbs;  ///< by id; street to the left
  std::vector<CurbFacts> facts;
  std::vector<UnusedLine> unused;  ///< by id
};

/// Blocks with their widths and falls, pavement polygons and curb lines for place_curbs.
///
/// Lines are cut where they meet (ends within 1 m of another line meet it) and joined again where only the
/// drawing was cut. Width: attribute, else cross-sections, else those of the street's other blocks, else
/// class. In each cross-section, square to the line, steps up and outward of at least 0.35 of a vertical curb
/// are looked for; the nearest place that at least 35 % of the cross-sections agree on (± 0.75 m) is the
/// curb; without one the low point where the pavement's fall turns into a rise of at least 4 % more. A
/// street's middle is the middle of the two curbs so found. Where one side only shows, the other lies as far
/// off as class or attribute say. Errors: spread of the cross-sections, at least 0.29 cells over the root of
/// the number of cell rows that the curb runs through; 1.2 m for a curb by class, 0.7 m by attribute where
/// the ground shows none (common practice, no source). Pavement: strips of the blocks, united, with round
/// returns at re-entrant corners; dead ends are flat, with a bulb where the ground shows one all around the
/// end or the class is CulDeSac. Curbs: the outline of the pavement, cut into pieces by street and side; at
/// corners in the middle of the return. None where a line leaves the data; at dead ends only where the ground
/// shows a step. Measured on drawn streets: see docs/methods.md. Ids: street, side, first cross street; they
/// do not depend on the order or direction of the lines. Lines without length, with bad coordinates or
/// outside the elevation are in `unused`.
StreetCurbs curbs_from_centrelines(const std::vector<Centreline>& lines, const terrain::Ground& ground,
                                   const CentrelineSettings& settings);

/// As above for pavement that is given: its outline is cut, named and judged by the blocks beside it (within
/// 12 m of their curbs); `pavement` of the answer is empty.
StreetCurbs name_pavement_edges(const std::vector<base::Polygon>& pavement,
                                const std::vector<Centreline>& lines, const terrain::Ground& ground,
                                const CentrelineSettings& settings);

}  // namespace curbshed::street
