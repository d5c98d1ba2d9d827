// SIGINT and SIGTERM: remove the partial folder and leave with 130.
#pragma once

namespace curbshed::geodata {
class OutputFolder;
}

namespace curbshed::cli {

/// Call once at the start of main, before any thread is made. From then on SIGINT and SIGTERM are taken by a
/// thread of its own, which removes the guarded folder and ends the process with 130. SIGPIPE is ignored:
/// writing fails instead.
void watch_interrupts();

/// True from the moment that a signal came: the process is about to end, errors of other threads mean
/// nothing.
bool interrupted();

/// While it lives a signal waits: between making a folder and guarding it nothing may end the process. Short,
/// and in one thread.
class HoldInterrupts {
 public:
  HoldInterrupts();
  ~HoldInterrupts();
  HoldInterrupts(const HoldInterrupts&) = delete;
  HoldInterrupts& operator=(const HoldInterrupts&) = delete;
};

/// Removes `folder` when a signal comes. One at a time; the folder outlives the guard.
class InterruptGuard {
 public:
  explicit InterruptGuard(geodata::OutputFolder& folder);
  ~InterruptGuard();
  InterruptGuard(const InterruptGuard&) = delete;
  InterruptGuard& operator=(const InterruptGuard&) = delete;
};

}  // namespace curbshed::cli
