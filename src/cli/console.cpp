#include "curbshed/cli/console.hpp"

#include "curbshed/base/error.hpp"

#include <chrono>
#include <cstdio>
#include <cstdlib>

#include <fmt/format.h>
#include <spdlog/sinks/stdout_sinks.h>
#include <spdlog/spdlog.h>
#include <unistd.h>

namespace curbshed::cli {
namespace {

double now_s() {
  return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
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
  if (progress_ && !current_.empty()) {
    std::fputs("\r\033[K", stderr);
    std::fflush(stderr);
  }
}

void Console::step(std::string_view name) {
  finish();
  current_ = name;
  percent_ = -1;
  began_s_ = now_s();
  spdlog::info("{}", name);
  if (progress_) {
    fmt::print(stderr, "{} …", name);
    std::fflush(stderr);
  }
}

void Console::share(double done) {
  const int percent = static_cast<int>(100.0 * done);
  if (!progress_ || current_.empty() || percent == percent_) {
    return;
  }
  percent_ = percent;
  fmt::print(stderr, "\r\033[K{} … {} %", current_, percent);
  std::fflush(stderr);
}

void Console::tell(std::string_view text) { spdlog::info("{}", text); }

void Console::finish() {
  if (current_.empty()) {
    return;
  }
  erase_progress();
  const double took_s = now_s() - began_s_;
  spdlog::info("{}: {:.2f} s", current_, took_s);
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
