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
};
struct TrialAnswer {
  double captured_m3 = 0.0;                           ///< of all, after the change
  double own_m3 = 0.0;                                ///< of the nodes that were flipped
  std::vector<double> peak_m3_s = {};                 ///< of the nodes asked for
  std::vector<std::vector<float>> leaving_m3_s = {};  ///< of the same, where series are asked for
};

/// A set of open cuts in one storm, changed cut by cut. The answers are those of `run_storm` with the same
/// cuts open, to the bit. Copies are independent, so each thread may try on its own.
class StormTrials {
 public:
  /// All new cuts closed. `model` must outlive this and all its copies.
  StormTrials(const ChainModel& model, const Storm& storm, base::Workers workers = {});
  StormTrials(const StormTrials& other);
  StormTrials(StormTrials&&) noexcept;
  StormTrials& operator=(const StormTrials&) = delete;
  StormTrials& operator=(StormTrials&&) noexcept;
  ~StormTrials();

  bool is_open(std::int32_t node) const;
  /// Captured by all open cuts and by the basins that are there already.
  double captured_m3() const;
  double captured_m3(std::int32_t node) const;
  /// Largest flow that leaves a node.
  double peak_m3_s(std::int32_t node) const;
  /// Flow that leaves a node, one a step.
  const std::vector<float>& leaving_m3_s(std::int32_t node) const;

  /// Opens cuts that are closed and closes those that are open. Throws BugError where a node is no cut.
  void flip(const std::vector<std::int32_t>& nodes);

  /// What `flip` would give; changes nothing.
  TrialAnswer tried(const std::vector<std::int32_t>& nodes, const TrialAsked& asked = {}) const;

 private:
  struct Shared;
  struct Work;
  std::shared_ptr<const Shared> shared_;
  std::unique_ptr<Work> work_;
};

}  // namespace curbshed::study
