// `curbshed desk`: hand checks with no study. Every check is a row of a table: its flags, and what answers.
#pragma once

#include "curbshed/cli/options.hpp"
#include "curbshed/report/desk_answer.hpp"

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace curbshed::cli {

/// A flag with a value.
struct DeskFlag {
  std::string_view name;  ///< "flow"
  base::Dimension dimension = base::Dimension::Plain;
  bool required = false;
  std::string_view least;  ///< as a person would write it; "" = 0, and 0 itself is not allowed
  std::string_view most;
  std::string_view fallback;  ///< "" = absent unless given
  std::string_view doc;
  bool text = false;                           ///< a word or a file, taken as it is
  std::vector<std::string_view> choices = {};  ///< of a word
};

/// Flags as they were given, in SI.
class DeskValues {
 public:
  std::map<std::string, double, std::less<>> numbers;
  std::map<std::string, std::string, std::less<>> texts;

  bool given(std::string_view name) const;
  double operator[](std::string_view name) const;  ///< BugError when absent
  double or_else(std::string_view name, double fallback) const;
  const std::string& text(std::string_view name) const;  ///< BugError when absent
  /// The number, for a check whose kinds need different flags: InputError that names flag and kind when
  /// absent.
  double needed(std::string_view name, std::string_view kind) const;
};

struct DeskCheck {
  std::string_view name;
  std::string_view doc;
  std::vector<DeskFlag> flags;
  report::DeskAnswer (*answer)(const DeskValues& values);
};

/// All checks, in the order of the help.
const std::vector<DeskCheck>& desk_checks();

// The rows, by what they are about.
std::vector<DeskCheck> street_checks();  ///< gutter, opening, sag
std::vector<DeskCheck> rain_checks();    ///< runoff, harvest
std::vector<DeskCheck> storm_checks();   ///< storm
std::vector<DeskCheck> soil_checks();    ///< infiltrate, horton
std::vector<DeskCheck> basin_checks();   ///< basin
std::vector<DeskCheck> flow_checks();    ///< route, travel, pipe

/// Reads and checks the words after the check's name, answers. `flags`: name → text. InputError with the flag
/// for a value without a unit, out of range, missing or of another kind.
report::DeskAnswer desk_answer(const DeskCheck& check, const std::map<std::string, std::string>& flags);

/// What is printed for the command line's check.
std::string desk_command(const Options& options);

/// Help of one check; of all.
std::string desk_help(const DeskCheck& check);
std::string desk_help();

}  // namespace curbshed::cli
