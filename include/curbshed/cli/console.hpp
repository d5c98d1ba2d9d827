// What goes to stdout and stderr.
#pragma once

#include "curbshed/cli/options.hpp"

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
  /// How much of the step is done, 0 to 1.
  void share(double done);
  /// More about the step, with -v.
  void tell(std::string_view text);
  /// Ends the last step.
  void finish();
  /// Nothing with --quiet. InputError when stdout cannot be written.
  void print(std::string_view text);
  /// Wall seconds of each step, in order.
  const std::vector<std::pair<std::string, double>>& seconds() const { return seconds_; }

 private:
  void erase_progress();

  bool quiet_ = false;
  bool progress_ = false;
  bool colour_ = false;
  double began_s_ = 0.0;
  int percent_ = -1;  ///< shown last
  std::string current_;
  std::vector<std::pair<std::string, double>> seconds_;
};

/// Name and version of the log library.
std::string log_library_version();

}  // namespace curbshed::cli
