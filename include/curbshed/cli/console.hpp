// What goes to stdout and stderr.
#pragma once

#include "curbshed/base/progress.hpp"
#include "curbshed/cli/options.hpp"

#include <mutex>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace curbshed::cli {

/// stdout for what was asked; progress to stderr and only on a terminal; steps to stderr with -v.
class Console {
 public:
  explicit Console(const Options& options);
  ~Console();
  Console(const Console&) = delete;
  Console& operator=(const Console&) = delete;

  /// Colour on stdout: a terminal, and NO_COLOR not set (https://no-color.org).
  bool colour() const { return colour_; }
  /// Ends the step before and begins this one.
  void step(std::string_view name);
  /// Costs of the steps, in their order and in any unit: from now on the progress line shows how much of all
  /// of them is done.
  void weigh(std::vector<std::pair<std::string, double>> costs);
  /// So much of the step is done, 0 to 1. Any thread.
  void share(double done);
  /// More about the step, with -v.
  void tell(std::string_view text);
  /// For work that names its own steps.
  base::Progress progress();
  /// From now on notes the most memory that the process holds in each step.
  void watch_memory();
  /// Ends the last step.
  void finish();
  /// Nothing with --quiet. InputError when stdout cannot be written.
  void print(std::string_view text);
  /// Wall seconds of each step, in order.
  const std::vector<std::pair<std::string, double>>& seconds() const { return seconds_; }
  /// Megabytes of each step, in order; empty where the system does not tell them.
  const std::vector<std::pair<std::string, double>>& memory_mb() const { return memory_mb_; }

 private:
  void erase_progress();
  void show_progress();

  bool quiet_ = false;
  bool progress_ = false;
  bool colour_ = false;
  double began_s_ = 0.0;
  bool memory_ = false;
  std::mutex line_;  ///< guards what the line on the terminal is made of
  std::string current_;
  double current_share_ = 0.0;
  int percent_ = -1;  ///< as shown; −1 none
  std::vector<std::pair<std::string, double>> costs_;
  std::vector<std::pair<std::string, double>> memory_mb_;
  std::vector<std::pair<std::string, double>> seconds_;
};

/// Name and version of the log library.
std::string log_library_version();

}  // namespace curbshed::cli
