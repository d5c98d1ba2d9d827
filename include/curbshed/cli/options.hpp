// The command line as a plain struct.
#pragma once

#include "curbshed/report/display.hpp"

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace curbshed::cli {

enum class Command : std::uint8_t { Start, Run, Check, Ground, Desk, Licences, Version };

/// What `curbshed start` is given; "" and empty = not given.
struct StartOptions {
  std::string folder;
  std::string elevation;
  std::string streets;  ///< middle lines, or pavement as polygons
  std::string buildings;
  std::string lots;
  std::string cuts;
  std::map<std::string, std::string> layers;  ///< flag → layer of its file: "streets" → "roads"
  std::string place;                          ///< file of polygons
  std::vector<double> corners;                ///< none, or west, south, east, north
  std::string corners_crs;
  std::string height_unit;
  std::string title;
  std::string two_year;
  std::string ten_year;
  std::string infiltration;
  bool overwrite = false;
};

struct Options {
  Command command = Command::Version;
  std::string study;
  std::string elevation;    ///< of `ground`
  std::string height_unit;  ///< of `ground`: "" = from the file
  std::string out;
  bool overwrite = false;
  bool dry_run = false;
  bool strict = false;
  bool quiet = false;
  bool verbose = false;
  std::optional<int> threads;                ///< 1 to 256
  std::optional<std::int64_t> memory_bytes;  ///< at most this much
  std::optional<report::Units> units;
  std::string desk_check;                         ///< name of the check
  std::map<std::string, std::string> desk_flags;  ///< as typed
  StartOptions start;
  bool json = false;  ///< desk only
};

/// Exit codes of the program.
inline constexpr int kDone = 0;
inline constexpr int kBadInput = 1;
inline constexpr int kBadCommandLine = 2;
inline constexpr int kOurBug = 3;
inline constexpr int kInterrupted = 130;

/// What to do: run `options`, or print `text` (to stdout when exit_code is 0, else to stderr) and leave.
struct Parsed {
  Options options;
  bool leave = false;
  int exit_code = kDone;
  std::string text;
};

/// Never throws for what a user typed.
Parsed parse_command_line(int count, const char* const* words);

/// Name and version of the parser and of the log library, for --version.
std::string parser_version();

}  // namespace curbshed::cli
