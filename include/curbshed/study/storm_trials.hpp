// What one cut more, or one less, does in a storm: only what lies below it is run again.
#pragma once

#include "curbshed/study/storm.hpp"

#include <cstdint>
#include <memory>
#include <vector>

namespace curbshed::study {

struct TrialAsked {
  std::vector<std::int32_t> outfalls = {};  ///< nodes whose peak is wanted; none spares the way down to them
  bool series = false;
  bool own_only =
      false;  ///< nothing below the flipped nodes is run: what is said of all and of outfalls tells nothing
};
struct TrialAnswer {
  double captured_m3 = 0.0;                           ///< of all, after the change
  double kept_m3 = 0.0;                               ///< the same less what ran on over rims, weighted
  double own_m3 = 0.0;                                ///< of the nodes that were flipped
  double own_returned_m3 = 0.0;                       ///< by the same
  double own_given_back_m3 = 0.0;                     ///< by the same: see NodeResult
  double own_over_rim_m3 = 0.0;                       ///< of what they captured: ran on over their rims
  double over_rim_m3 = 0.0;                           ///< of all, after the change
  std::vector<double> peak_m3_s = {};                 ///< of the nodes asked for
  std::vector<std::vector<float>> leaving_m3_s = {};  ///< of the same, where series are asked for
};

/// What a cut can take at most, whatever is open elsewhere.
struct MostTaken {
  /// One a step: what its opening would take of the flow that passes now; infinite in a sag.
  std::vector<double> offered_m3;
  double room_m3 = 0.0;     ///< its basin holds no more; infinite where it spills over its rim
  double soaks_m3_s = 0.0;  ///< at most
  /// The same when the storm ends: the pool has gone down to the gutter's water, taken twice as much as it is
  /// now; and all that can have soaked in by then, from the first water on.
  double keeps_m3 = 0.0;
};
/// The way of gutter water from one node to another.
struct WayDown {
  bool leads = false;  ///< some of it may come there, by whatever way
  /// Only gutters, cuts and inlets whose water is gone: what is taken above is missing below after exactly
  /// the time of travel. Else a pond, a basin that is there already, a pipe or a side way lies on it.
  bool plain = false;
  std::size_t steps = 0;  ///< time of travel, whole steps; all of it has passed one step a reach later
  std::size_t reaches = 0;
};

/// A set of open cuts in one storm, changed cut by cut. The answers are those of `run_storm` with the same
/// cuts open from their start_state, to the bit. Copies are independent, so each thread may try on its own.
class StormTrials {
 public:
  /// All new cuts closed; basins that are opened are as full as they are when a storm begins (start_state),
  /// the lots keep what they keep with the cuts. `model` must outlive this and all its copies.
  StormTrials(const ChainModel& model, const Storm& storm, base::Workers workers = {});
  StormTrials(const StormTrials& other);
  StormTrials(StormTrials&&) noexcept;
  StormTrials& operator=(const StormTrials&) = delete;
  StormTrials& operator=(StormTrials&&) noexcept;
  ~StormTrials();

  const ChainModel& model() const;
  std::size_t steps() const;
  double step_s() const;
  bool is_open(std::int32_t node) const;
  /// What a node's basin keeps counts in kept_m3 by its weight, 1 unless given; one a node.
  void weigh(std::vector<double> weights);
  /// Captured by all open cuts and by the basins that are there already.
  double captured_m3() const;
  double captured_m3(std::int32_t node) const;
  /// Captured less what ran on over rims, weighted.
  double kept_m3() const;
  /// Of all ground; the same whatever is open.
  double runoff_m3() const;
  /// What ran on over the rims of all basins: part of what they captured.
  double over_rim_m3() const;
  /// Largest flow that leaves a node.
  double peak_m3_s(std::int32_t node) const;
  /// Flow that leaves a node, one a step.
  const std::vector<float>& leaving_m3_s(std::int32_t node) const;

  MostTaken most_taken(std::int32_t node) const;
  WayDown way_down(std::int32_t from, std::int32_t to) const;

  /// Opens cuts that are closed and closes those that are open. Throws BugError where a node is no cut.
  void flip(const std::vector<std::int32_t>& nodes);

  /// What `flip` would give; changes nothing.
  TrialAnswer tried(const std::vector<std::int32_t>& nodes, const TrialAsked& asked = {}) const;

 private:
  bool leads(std::int32_t from, std::int32_t to) const;
  struct Shared;
  struct Work;
  std::shared_ptr<const Shared> shared_;
  std::unique_ptr<Work> work_;
};

}  // namespace curbshed::study
