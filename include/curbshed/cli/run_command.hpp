// `curbshed run` and `curbshed check`.
#pragma once

#include "curbshed/cli/console.hpp"

namespace curbshed::cli {

/// Gather → prepare → storms → results. With options.dry_run (and for `check`) it stops before the storms,
/// prints what was found and writes nothing. Returns the exit code; throws InputError and BugError.
int run_command(const Options& options, Console& console);

/// Threads and where the number comes from: flag, environment (CURBSHED_THREADS), default (all processors).
struct ThreadChoice {
  int threads = 1;
  const char* origin = "default";
};
/// environment: the variable's text or nullptr. InputError when it is no number from 1 to 256.
ThreadChoice choose_threads(const Options& options, const char* environment);

/// The most memory that the process has had so far.
double peak_memory_mb();

}  // namespace curbshed::cli
