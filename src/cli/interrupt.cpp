#include "curbshed/cli/interrupt.hpp"

#include "curbshed/cli/options.hpp"
#include "curbshed/geodata/output_folder.hpp"

#include <atomic>
#include <csignal>
#include <mutex>
#include <thread>

#include <signal.h>
#include <unistd.h>

namespace curbshed::cli {
namespace {

std::atomic<bool> came{false};
std::recursive_mutex guard;
geodata::OutputFolder* guarded = nullptr;

void wait_for(sigset_t signals) {
  int number = 0;
  while (::sigwait(&signals, &number) != 0) {
  }
  came = true;
  const std::lock_guard<std::recursive_mutex> held(guard);
  if (guarded != nullptr) {
    guarded->abandon();
  }
  ::_exit(kInterrupted);
}

}  // namespace

void watch_interrupts() {
  std::signal(SIGPIPE, SIG_IGN);
  sigset_t signals;
  sigemptyset(&signals);
  sigaddset(&signals, SIGINT);
  sigaddset(&signals, SIGTERM);
  // Blocked here, so blocked in every thread made later: only the watcher takes them.
  ::pthread_sigmask(SIG_BLOCK, &signals, nullptr);
  std::thread(wait_for, signals).detach();
}

bool interrupted() { return came; }

HoldInterrupts::HoldInterrupts() { guard.lock(); }

HoldInterrupts::~HoldInterrupts() { guard.unlock(); }

InterruptGuard::InterruptGuard(geodata::OutputFolder& folder) {
  const std::lock_guard<std::recursive_mutex> held(guard);
  guarded = &folder;
}

InterruptGuard::~InterruptGuard() {
  const std::lock_guard<std::recursive_mutex> held(guard);
  guarded = nullptr;
}

}  // namespace curbshed::cli
