// `curbshed start`: from the files that people have to a study that runs.
#pragma once

#include "curbshed/cli/console.hpp"

#include <map>
#include <optional>
#include <string>
#include <vector>

namespace curbshed::cli {

/// Inspects the files, and writes study.toml and, unless cuts are given, cuts.csv with trial cuts to
/// options.start.folder. All or nothing: an error leaves the folder as it was. Returns the exit code.
/// InputErrors: a study is there already (without overwrite); those of geodata with what to do on the command
/// line; no curb on which a trial cut could be; a value that the study would not take.
int start_command(const Options& options, Console& console);

}  // namespace curbshed::cli
