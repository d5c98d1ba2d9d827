// What the units of this layer hand to each other while a network is built.
#pragma once

#include "curbshed/street/network.hpp"

#include "street/stations.hpp"

#include <cstdint>
#include <string>
#include <vector>

namespace curbshed::street::detail {

inline constexpr std::int64_t kNowhere = -1;

/// Inputs with what is asked of them everywhere.
struct Scene {
  const terrain::Ground& ground;
  const terrain::Grid<std::uint8_t>& pavement;  ///< may be empty
  const terrain::Grid<std::uint8_t>& roof;      ///< may be empty
  const std::vector<terrain::CurbLine>& curbs;
  const terrain::CurbField& field;
  const std::vector<Site>& sites;
  const NetworkSettings& settings;
  const std::vector<std::uint8_t>& usable;  ///< one a station
  const StationIndex& stations;
  const CurbWalk& walk;
  const BlockFaces& faces;

  const terrain::GridFrame& frame() const { return ground.frame; }
  double cell_m() const { return ground.frame.cell_m; }
  const terrain::CurbStation& station(std::int32_t i) const {
    return field.stations[static_cast<std::size_t>(i)];
  }
  /// True on a driveway, ramp or other gap: its crest is ground, not curb.
  bool in_gap(std::int32_t i) const {
    return curbs[static_cast<std::size_t>(station(i).curb)].kind == terrain::CurbKind::Gap;
  }
  bool known(std::int64_t cell) const { return cell >= 0 && ground.valid[cell] != 0; }
};

/// Directions on the ground as it is, worked out only when something away from any curb asks for them: what
/// is found by them does not change with the gutter lowering.
class UnloweredWays {
 public:
  UnloweredWays(const terrain::Ground& ground, const terrain::Walls& walls, const terrain::WorkPlan& plan)
      : ground_(ground), walls_(walls), plan_(plan) {}
  const terrain::Grid<std::uint8_t>& directions();
  const terrain::Grid<std::int64_t>& arriving();

 private:
  const terrain::Ground& ground_;
  const terrain::Walls& walls_;
  const terrain::WorkPlan& plan_;
  terrain::Grid<std::uint8_t> directions_;
  terrain::Grid<std::int64_t> arriving_;
};

/// A site on the grid.
struct Place {
  std::int32_t site = -1;
  std::int32_t station = -1;     ///< −1: away from any curb
  std::int64_t cell = kNowhere;  ///< its gutter cell
  base::Point at;
  double moved_m = 0.0;
  std::vector<std::int64_t> cells;  ///< that it catches water in, its gutter cell first
};

/// The network before it is put into chain order, with the cells that stand for its nodes.
struct Draft {
  Network net;                     ///< provisional numbers: by cell, kind and id; the edge of the data last
  std::vector<std::int64_t> cell;  ///< gutter cell, deepest cell of a sag; kNowhere for the edge
  std::vector<std::int32_t> station;             ///< −1 where no curb
  std::vector<std::vector<std::int64_t>> cells;  ///< transects; empty at sags
  std::vector<std::int64_t> leaves_at;
  std::vector<std::int64_t> second_leaves_at;  ///< one a second way
  std::vector<SitePlace> places;
  std::int32_t edge() const { return static_cast<std::int32_t>(net.size()) - 1; }
};

}  // namespace curbshed::street::detail
