// Curb stations: finding the nearest one, and walking along the gutter from one curb line to the next.
#pragma once

#include "curbshed/terrain/curbs.hpp"

#include <array>
#include <cstdint>
#include <functional>
#include <map>
#include <utility>
#include <vector>

namespace curbshed::street::detail {

/// True where water can be caught at a station: its gutter cell is on known ground and its curb is not of
/// kind None.
std::vector<std::uint8_t> usable_stations(const terrain::Ground& ground,
                                          const std::vector<terrain::CurbLine>& curbs,
                                          const terrain::CurbField& field);

/// Stations in square bins. Answers do not depend on the order of curbs: ties go to the lower gutter cell,
/// then the curb's id.
class StationIndex {
 public:
  StationIndex(const terrain::CurbField& field, const std::vector<terrain::CurbLine>& curbs,
               const std::vector<std::uint8_t>& usable, double bin_m);

  /// Nearest usable station within `reach_m` that `accept` allows (empty = any); −1 if there is none.
  std::int32_t nearest(base::Point p, double reach_m,
                       const std::function<bool(std::int32_t)>& accept = {}) const;
  /// Distance to the nearest usable station, looking no farther than `reach_m`; infinity if there is none.
  double distance_m(base::Point p, double reach_m) const;

 private:
  std::pair<std::int64_t, std::int64_t> bin_of(base::Point p) const;
  bool before(std::int32_t a, std::int32_t b) const;

  const terrain::CurbField& field_;
  const std::vector<terrain::CurbLine>& curbs_;
  double bin_m_;
  std::map<std::pair<std::int64_t, std::int64_t>, std::vector<std::int32_t>> bins_;
};

struct WalkStep {
  std::int32_t station = -1;
  double s_m = 0.0;  ///< way walked from the first station
};

/// The curb lines joined end to end where their ends meet and the street stays on the same hand.
class CurbWalk {
 public:
  CurbWalk(const terrain::CurbField& field, const std::vector<terrain::CurbLine>& curbs, double cell_m);

  /// Stations met from `station` (excluded), forward or backward along its curb and on over joined curbs, up
  /// to limit_m.
  std::vector<WalkStep> walk(std::int32_t station, bool forward, double limit_m) const;

  /// Stations of a curb: [first, second).
  std::pair<std::int32_t, std::int32_t> range(std::int32_t curb) const {
    return ranges_[static_cast<std::size_t>(curb)];
  }

 private:
  /// End e of curb c is 2c (start) or 2c + 1; −1 where it meets no other.
  void join_ends(const std::vector<terrain::CurbLine>& curbs);
  bool same_hand(std::int32_t end_a, std::int32_t end_b) const;

  const terrain::CurbField& field_;
  double join_m_;
  std::vector<std::pair<std::int32_t, std::int32_t>> ranges_;
  std::vector<std::uint8_t> left_;  ///< street lies left of the line
  std::vector<std::int32_t> joined_;
  std::vector<double> length_m_;
};

}  // namespace curbshed::street::detail
