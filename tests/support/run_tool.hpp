// Runs a command-line tool and keeps what it prints.
#pragma once

#include <array>
#include <cstdio>
#include <string>

namespace curbshed::testing {

struct ToolRun {
  int status = -1;   ///< as pclose gives it
  std::string text;  ///< stdout and stderr
};

inline ToolRun run_tool(const std::string& command) {
  ToolRun run;
  std::FILE* pipe = popen((command + " 2>&1").c_str(), "r");
  if (pipe == nullptr) {
    return run;
  }
  std::array<char, 4096> buffer{};
  std::size_t got = 0;
  while ((got = std::fread(buffer.data(), 1, buffer.size(), pipe)) > 0) {
    run.text.append(buffer.data(), got);
  }
  run.status = pclose(pipe);
  return run;
}

}  // namespace curbshed::testing
