#include "curbshed/cli/console.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <fstream>

#include <fmt/format.h>
#include <spdlog/sinks/stdout_sinks.h>
#include <spdlog/spdlog.h>
#include <unistd.h>

namespace curbshed::cli {
namespace {

double now_s() {
  return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

/// Linux counts the most that a process held anew from here (proc(5), clear_refs). False elsewhere.
bool forget_peak() {
  std::ofstream file("/proc/self/clear_refs");
  file << "5" << std::flush;
  return file.good();
}

/// Since forget_peak(), in megabytes; 0 when the system does not say.
double peak_mb() {
  std::ifstream file("/proc/self/status");
  for (std::string word; file >> word;) {
    double kilobytes = 0.0;
    if (word == "VmHWM:" && file >> kilobytes) {
      return kilobytes / 1024.0;
    }
  }
  return 0.0;
}

}  // namespace

Console::Console(const Options& options) : quiet_(options.quiet) {
  progress_ = !options.quiet && !options.verbose && ::isatty(STDERR_FILENO) == 1;
  const char* no_color = std::getenv("NO_COLOR");
  colour_ = ::isatty(STDOUT_FILENO) == 1 && (no_color == nullptr || *no_color == '\0');
  auto log = std::make_shared<spdlog::logger>("curbshed", std::make_shared<spdlog::sinks::stderr_sink_mt>());
  log->set_pattern("%H:%M:%S.%e  %v");
  log->set_level(options.verbose ? spdlog::level::info : spdlog::level::off);
  spdlog::set_default_logger(log);
}

Console::~Console() { erase_progress(); }

void Console::erase_progress() {
  const std::lock_guard<std::mutex> held(line_);
  if (progress_ && !current_.empty()) {
    std::fputs("\r\033[K", stderr);
    std::fflush(stderr);
  }
}

/// Writes the line anew when its number has grown. The line is held.
void Console::show_progress() {
  double all = 0.0;
  double done = 0.0;
  bool before = true;
  for (const auto& [name, cost] : costs_) {
    before = before && name != current_;
    all += cost;
    done += name == current_ ? cost * current_share_ : before ? cost : 0.0;
  }
  if (costs_.empty()) {  // one step is all that is known
    all = current_share_ > 0.0 ? 1.0 : 0.0;
    done = current_share_;
  }
  const int percent = all > 0.0 ? static_cast<int>(100.0 * std::min(1.0, done / all)) : -1;
  if (percent < 0) {
    fmt::print(stderr, "\r\033[K{} …", current_);
  } else if (percent > percent_ || current_share_ <= 0.0) {
    percent_ = std::max(percent, percent_);
    fmt::print(stderr, "\r\033[K{} … {} %", current_, percent_);
  }
  std::fflush(stderr);
}

void Console::step(std::string_view name) {
  finish();
  began_s_ = now_s();
  spdlog::info("{}", name);
  const std::lock_guard<std::mutex> held(line_);
  current_ = name;
  current_share_ = 0.0;
  percent_ = costs_.empty() ? -1 : percent_;
  if (progress_) {
    show_progress();
  }
}

void Console::weigh(std::vector<std::pair<std::string, double>> costs) {
  const std::lock_guard<std::mutex> held(line_);
  costs_ = std::move(costs);
}

void Console::share(double done) {
  const std::lock_guard<std::mutex> held(line_);
  if (progress_ && !current_.empty() && done > current_share_) {
    current_share_ = done;
    show_progress();
  }
}

void Console::tell(std::string_view text) { spdlog::info("{}", text); }

base::Progress Console::progress() {
  return {[this](std::string_view name) { step(name); }, [this](double done) { share(done); }};
}

void Console::watch_memory() { memory_ = forget_peak(); }

void Console::finish() {
  if (current_.empty()) {
    return;
  }
  erase_progress();
  const double took_s = now_s() - began_s_;
  spdlog::info("{}: {:.2f} s", current_, took_s);
  if (memory_) {
    memory_mb_.emplace_back(current_, peak_mb());
    forget_peak();
  }
  const std::lock_guard<std::mutex> held(line_);
  seconds_.emplace_back(std::move(current_), took_s);
  current_.clear();
}

void Console::print(std::string_view text) {
  finish();
  if (quiet_) {
    return;
  }
  if (std::fwrite(text.data(), 1, text.size(), stdout) != text.size() || std::fflush(stdout) != 0) {
    throw base::InputError({"stdout", "", ""}, "the result could not be printed",
                           "an output that can be written to",
                           "check where the output is sent; the files were written");
  }
}

std::string log_library_version() {
  return fmt::format("{}.{}.{}", SPDLOG_VER_MAJOR, SPDLOG_VER_MINOR, SPDLOG_VER_PATCH);
}

}  // namespace curbshed::cli
