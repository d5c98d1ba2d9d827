// Curb lines made ready for the grid: street to the left, ends joined.
#pragma once

#include "curbshed/terrain/curbs.hpp"

#include <array>
#include <string>
#include <vector>

namespace curbshed::terrain::detail {

inline base::Point operator-(base::Point a, base::Point b) { return {a.x_m - b.x_m, a.y_m - b.y_m}; }
inline base::Point operator+(base::Point a, base::Point b) { return {a.x_m + b.x_m, a.y_m + b.y_m}; }
inline base::Point operator*(double k, base::Point a) { return {k * a.x_m, k * a.y_m}; }
inline double dot(base::Point a, base::Point b) { return a.x_m * b.x_m + a.y_m * b.y_m; }
inline double cross(base::Point a, base::Point b) { return a.x_m * b.y_m - a.y_m * b.x_m; }
inline base::Point left_of(base::Point direction) { return {-direction.y_m, direction.x_m}; }
double norm(base::Point a);
/// {0, 0} stays as it is.
base::Point unit(base::Point a);

inline constexpr double kJoinCells = 1.5;  ///< ends closer than this belong together

/// Which end of which running curb; curb −1 = none.
struct EndRef {
  std::int32_t curb = -1;
  int end = 0;  ///< 0 start, 1 end
};

/// A usable curb, turned so that the street lies to the left. Coordinates are metres from the frame's
/// north-west corner.
struct RunningCurb {
  std::int32_t curb = 0;  ///< index into the user's lines
  CurbKind kind = CurbKind::Vertical;
  double rise_m = 0.0;    ///< crest above the gutter; for a gap the lip
  bool reversed = false;  ///< runs against the user's line
  bool closed = false;    ///< its end meets its own start
  base::Polyline line;    ///< no repeated points, at least two
  std::vector<double> along_m;
  base::Polyline walk;  ///< the line with the straight connectors to the ends that it meets
  std::vector<double> walk_along_m;
  std::array<EndRef, 2> meets{};              ///< the end that the start and the end of this curb meet
  std::array<bool, 2> in_data{false, false};  ///< the end lies on valid ground
  std::array<base::Point, 2>
      joined_direction{};  ///< of what runs on before the start and after the end; {0, 0} = nothing

  double length_m() const { return along_m.back(); }
  double user_along_m(double along) const { return reversed ? length_m() - along : along; }
  bool free_end(int end) const {
    return meets[static_cast<std::size_t>(end)].curb < 0 && in_data[static_cast<std::size_t>(end)];
  }
};

struct SetAside {
  std::int32_t curb = 0;
  std::string reason;
};

/// Every usable curb by index; the rest goes to `set_aside`. Notes: CurbSideUnknown, CurbHeightAssumed.
std::vector<RunningCurb> running_curbs(const Ground& ground, const Grid<std::uint8_t>& pavement,
                                       const std::vector<CurbLine>& curbs, const CurbSettings& settings,
                                       std::vector<SetAside>& set_aside, base::Notes& notes);

/// Pairs ends within kJoinCells cells (nearest first) and fills `walk`, `meets`, `closed`,
/// `joined_direction`. Curbs of kind None meet nothing.
void join_ends(std::vector<RunningCurb>& curbs, double cell_m);

/// The line of `curbs[k]` with up to `reach_m` of the lines that its ends meet, as long as they keep within
/// 30° of its own direction there: a driveway or a change of kind ends no pavement, a corner does. `along_m`
/// is that of the curb itself: below 0 before its start, above its length after its end.
RunningCurb with_neighbours(const std::vector<RunningCurb>& curbs, std::size_t k, double reach_m);

/// Place and direction at `along` (clamped).
struct CurbPlace {
  base::Point at;
  base::Point direction;  ///< unit, of the chord over one cell to each side
};
CurbPlace place_at(const RunningCurb& curb, double along_m, double cell_m);

}  // namespace curbshed::terrain::detail
