// The gutter network: first receivers on the grid, joined to chains.
#pragma once

#include "curbshed/base/notes.hpp"
#include "curbshed/base/progress.hpp"
#include "curbshed/street/corners.hpp"
#include "curbshed/street/faces.hpp"
#include "curbshed/street/sites.hpp"
#include "curbshed/terrain/curbs.hpp"
#include "curbshed/terrain/directions.hpp"
#include "curbshed/terrain/ways.hpp"

#include <array>
#include <optional>
#include <string>
#include <vector>

namespace curbshed::street {

/// Corner: a gutter's end at a corner where the user says what share of the water turns.
enum class NodeKind : std::uint8_t { Cut, Inlet, Sag, Outfall, DataEdge, Basin, Corner };
/// A basin lies behind it: a cut's, or one that is there already.
inline bool has_basin(NodeKind kind) { return kind == NodeKind::Cut || kind == NodeKind::Basin; }
enum class SideWayKind : std::uint8_t { OverCurb, OverLip, OverCrown };
/// Where a number comes from: the study or its layers, a fit to the heights, somebody on the street.
enum class ValueFrom : std::uint8_t { Study, Fitted, Measured };

/// Sides of the raster at which an area is cut; kCutInside: at ground of unknown height within the raster.
inline constexpr std::uint8_t kCutNorth = 1;
inline constexpr std::uint8_t kCutEast = 2;
inline constexpr std::uint8_t kCutSouth = 4;
inline constexpr std::uint8_t kCutWest = 8;
inline constexpr std::uint8_t kCutInside = 16;

/// The way that flow deeper than `begins_depth_m` takes at the most easily overtopped section of the node's
/// gutter: stations whose gutter cell first reaches this node and that at least half of its water passes (at
/// a sag: those in its pond). Over the curb it begins at the higher of crest and ground behind it, over the
/// crown at the crown's height; corners and openings of other streets have no crown. A way back to the node
/// or above it is none.
struct SideWay {
  std::int32_t from = -1;  ///< node
  std::int32_t to = -1;    ///< node, or −1: to lots, and lost to the street
  SideWayKind kind = SideWayKind::OverCurb;
  double begins_depth_m =
      0.0;         ///< water depth at the curb face at which it begins; at a sag: above sag_bottom_m
  base::Point at;  ///< where
};

/// A node's second ordinary way down, with its share of the water: over the side street at a shared corner.
/// The rest goes to the node's `downstream`, round the corner.
struct SecondWay {
  std::int32_t from = -1;       ///< node
  std::int32_t to = -1;         ///< node
  double share = 0.0;           ///< 0 to 1, both left out
  double reach_length_m = 0.0;  ///< gutter from one to the other
};

/// Fall of the pavement toward the curb as fitted, with its standard error; below 0 it falls away.
struct CrossFall {
  double slope = 0.0;
  double error = 0.0;
};

/// Flat arrays in chain order: a node's downstream node, its side ways' nodes and the cuts and inlets that
/// stand in a sag come later, except inside a pond pair. Ties go to the lower cell, so the order of the
/// inputs does not matter. A cut or inlet in a sag has no area of its own: it is fed by the sag's pond and
/// shares its downstream node. Second ways keep the order too. All vectors have one entry a node unless said
/// otherwise. Node number = label in `first_receiver`.
struct Network {
  std::vector<NodeKind> kind;
  std::vector<std::string> id;
  std::vector<std::int32_t> site;  ///< index into the sites given, −1 for sags and the edge
  std::vector<base::Point>
      at;  ///< on the curb line; centre of its cell where no curb, of the deepest cell at a sag
  std::vector<double> moved_m;           ///< from the given point to `at`
  std::vector<std::int32_t> downstream;  ///< −1: none (outfall, edge)
  std::vector<double> reach_length_m;    ///< gutter from this node down to `downstream` (0 where none)
  std::vector<double>
      upstream_gutter_m;      ///< longest gutter that drains to this node with no other receiver between
  std::vector<double> grade;  ///< fraction, ≥ 0, at the node (0 in sags)
  std::vector<double> grade_error;  ///< standard error
  std::vector<double> cross_slope;
  std::vector<double> cross_slope_error;
  std::vector<std::optional<CrossFall>>
      cross_fall;  ///< also where it is too small or negative for cross_slope
  std::vector<ValueFrom> grade_from;
  std::vector<ValueFrom> cross_slope_from;
  std::vector<double> gutter_level_m;  ///< carried to the curb face, before lowering
  std::vector<double> curb_height_m;   ///< crest above gutter at the node; 0 at an inlet in a gap of the curb
  std::vector<std::int32_t> curb;      ///< curb line, −1 none
  std::vector<double> along_curb_m;    ///< place on it
  std::vector<base::Point> behind;  ///< unit vector from the street to behind the curb, {0,0} where no curb
  std::vector<std::uint8_t>
      edge_cuts_area;  ///< own area touches the edge of the data with higher ground beyond: bits of kCut…
  std::vector<std::uint8_t> edge_cuts_above;  ///< the same bits of this node and of all upstream
  std::vector<std::int32_t> in_sag;  ///< cuts and inlets that stand in a kept sag: its node; else −1
  // sags only (0 elsewhere)
  std::vector<double> sag_depth_m;  ///< spill level − deepest ground
  std::vector<double> sag_volume_m3;
  std::vector<double> sag_bottom_m;
  std::vector<double> sag_spill_m;
  std::vector<double> sag_area_m2;
  std::vector<SecondWay> second_ways;                   ///< by from, at most one a node
  std::vector<SideWay> side_ways;                       ///< by (from, begins_depth)
  std::vector<std::array<std::int32_t, 2>> pond_pairs;  ///< pairs that overflow into each other: one pond

  std::size_t size() const { return kind.size(); }
};

/// The second way of a node; nullptr where it has none. Needs second_ways by from.
const SecondWay* second_way(const Network& network, std::size_t node);

/// One ordinary way down with its share of the water.
struct WayDown {
  std::size_t to = 0;
  double share = 1.0;
};

/// Calls visit(WayDown) for each ordinary way down, `downstream` first.
template <class Visit>
void each_way_down(const Network& network, std::size_t node, Visit&& visit) {
  const SecondWay* second = second_way(network, node);
  if (network.downstream[node] >= 0)
    visit(WayDown{static_cast<std::size_t>(network.downstream[node]),
                  second == nullptr ? 1.0 : 1.0 - second->share});
  if (second != nullptr) visit(WayDown{static_cast<std::size_t>(second->to), second->share});
}

/// Rough ground has a hollow every few cells, millions in a city: more than this nobody reads.
inline constexpr std::size_t kMostPassedListed = 10'000;

/// Depression that was not kept.
struct PassedDepression {
  base::Point at;
  double depth_m = 0.0;
  double volume_m3 = 0.0;
  double area_m2 = 0.0;
  double spill_level_m = 0.0;
  std::string over;  ///< what it spills over: "surface", "curb"
  std::string into;  ///< node id that its water reaches, or "edge of the data"
};

struct NetworkSettings {
  double snap_m = 3.0;  ///< cuts, outfalls: farthest move to the gutter
  double inlet_snap_m = 3.0;
  double elevation_error_m = 0.03;  ///< standard error of heights
  double error_range_m = 5.0;       ///< correlation length of that error
  double sag_least_area_m2 = 10.0;
  double sag_depth_errors = 3.0;  ///< kept if depth ≥ this × elevation_error_m and area ≥ sag_least_area_m2 …
  double inlet_sag_errors = 1.0;  ///< … or an inlet stands in it and depth ≥ this × elevation_error_m: a
                                  ///< hollow under one error is noise, and the inlet stays on its grade
  double transect_m =
      1.0;  ///< a receiver catches all water that passes this far from the curb face (≥ 2 cells)
  double grade_window_m = 30.0;
  double cross_slope_window_m = 20.0;
  double default_cross_slope = 0.02;
  std::vector<base::Point> keep_sags_at;  ///< marked by the user
};

struct NetworkInputs {
  const terrain::Ground* ground = nullptr;                ///< unlowered
  const terrain::Grid<std::uint8_t>* pavement = nullptr;  ///< may be empty or absent
  const terrain::Grid<std::uint8_t>* roof =
      nullptr;  ///< may be empty or absent: holes under roofs are no edge of the data
  const std::vector<terrain::CurbLine>* curbs = nullptr;
  const terrain::CurbField* field = nullptr;
  const std::vector<Site>* sites = nullptr;
  const std::vector<FlowLine>* flow_lines = nullptr;        ///< may be absent
  const std::vector<CornerPoint>* corner_points = nullptr;  ///< may be absent
};

/// How a person finds a node: by the nearest curb within 10 m that has a street name.
struct SitePlace {
  FacePlace place;           ///< its face is −1 where no such curb is near
  std::string words_metric;  ///< read back as a place they lead to `cell`; "" where words alone cannot
  std::string words_us;      ///< the same in feet and inches
  std::int64_t cell = -1;    ///< gutter cell beside the place
  std::string own_id;        ///< from street, side and distance (place_id), else from the coordinates; unique
};

struct StreetModel {
  Network network;
  terrain::Grid<std::uint8_t> directions;      ///< on the lowered surface; outfalls are drains
  terrain::Grid<std::int32_t> receiver_at;     ///< node whose transect, sag or point the cell is; −1
  terrain::Grid<std::int32_t> first_receiver;  ///< node of every valid cell; −1 in invalid cells
  terrain::Grid<std::int64_t> cells_arriving;
  terrain::Grid<float> standing_water_m;  ///< depth of kept sags at their spill level, 0 elsewhere
  std::vector<std::int64_t>
      leaves_at;  ///< per node: the cell from which its water runs on; −1 edge of the data
  std::vector<std::int64_t> second_leaves_at;  ///< the same, one a second way of the network
  std::vector<PassedDepression> passed;        ///< the largest by volume; note DepressionPassed counts all
  BlockFaces faces;
  std::vector<SitePlace> places;  ///< per node; nothing in it at the edge of the data
  std::vector<Corner> corners;
  base::Notes notes;
  std::vector<std::string> set_aside_inlets;  ///< "id: reason"
};

/// GradeFlatOrUnknown: a fitted grade under twice its error; CrossSlopeAssumed: none could be fitted. For
/// cuts, inlets and outfalls. Not part of build_street's notes: values that were measured may still come.
void note_fits(const Network& network, base::Notes& notes);

/// Levels, directions, receivers and the network.
///
/// Sags, crests, levels at the curb, grades and cross slopes come from the ground as it is; only directions
/// (and so areas and reaches) from the lowered one. A cell that two transects share goes to the site whose
/// curb station is nearer, a tie to the lower gutter cell; a gutter cell always to its own site. Water that a
/// site leaves in a cell of an outfall's transect goes to that outfall. One DataEdge node always exists (the
/// last in chain order) and receives what leaves the data. A site without an id takes its own id. Errors: a
/// cut or outfall outside the elevation, on invalid ground, farther than snap_m from any gutter (a cut) or
/// two cuts in the same gutter cell: InputError with id; so are a flow line off the ground and a corner point
/// without a corner or that the ground does not obey, and a share where its corner has only one way, stands
/// in a pond or leads back to itself. A cycle of ordinary ways: BugError that names the
/// nodes.
StreetModel build_street(const NetworkInputs& inputs, const NetworkSettings& settings,
                         const terrain::WorkPlan& plan, const base::Progress& progress = {});

}  // namespace curbshed::street
