// Gutter levels and crests along a curb.
#pragma once

#include "terrain/curb_crossings.hpp"

#include <memory>
#include <span>

namespace curbshed::terrain::detail {

/// A pavement cell beside a curb.
struct SlopeSample {
  double off_m = 0.0;    ///< from the curb line into the street
  double along_m = 0.0;  ///< along the curb, from the place asked for
  double height_m = 0.0;
};

struct SlopeFit {
  double at_curb_m = 0.0;    ///< height at the curb face (off = along = 0)
  double cross_slope = 0.0;  ///< rise a metre into the street
  double grade = 0.0;        ///< rise a metre along the curb
};

/// Memory that fits use again, so that a million of them allocate nothing. One a thread.
class FitRoom {
 public:
  FitRoom();
  ~FitRoom();
  FitRoom(const FitRoom&) = delete;
  FitRoom& operator=(const FitRoom&) = delete;

  struct Room;
  Room& room() { return *room_; }

 private:
  std::unique_ptr<Room> room_;
};

/// Robust plane h = a + b·off + c·along over the samples before the crown (bisquare weights, scale from the
/// median absolute residual, started from medians). A weak pull of b toward `default_cross_slope` counts as
/// much as the residual scale lets it: nothing on clean data. At least 6 samples. The order of the samples
/// does not matter beyond ties.
SlopeFit fit_slope(std::span<const SlopeSample> samples, double cell_m, double expected_cross_slope,
                   double spread, FitRoom& room);

/// Bisquare weights: Beaton & Tukey 1974, tuning 4.685 for 95 % efficiency on normal residuals (value from
/// memory).
inline constexpr double kBisquareTuning = 4.685;

struct Station {
  double along_m = 0.0;  ///< along the running curb
  CurbPlace place;
  std::int64_t gutter_cell = -1;
  std::int64_t behind_cell = -1;
  bool known = false;  ///< has a gutter cell on valid ground and a level
  double level_m = 0.0;
  double crest_m = 0.0;
};

/// Stations of curbs[k], evenly spaced about one cell apart, by `along_m`. `crossings`: those of this curb.
/// Notes: CrossSlopeAssumed with the curb's id.
std::vector<Station> measure_curb(const Ground& ground, const Grid<std::uint8_t>& pavement,
                                  const std::vector<RunningCurb>& curbs, std::size_t k,
                                  std::span<const Crossing> crossings, const CurbSettings& settings,
                                  const std::string& id, base::Notes& notes, FitRoom& room);

/// Value of a member between the two known stations about `along_m`; beyond the known ones the nearest.
/// At least one station is known.
double between_stations(const std::vector<Station>& stations, double Station::*member, double along_m);

}  // namespace curbshed::terrain::detail
