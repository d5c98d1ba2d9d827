// Runs a program and keeps what it printed.
#pragma once

#include "support/temp_folder.hpp"

#include <cstdlib>
#include <string>

#include <sys/wait.h>

namespace curbshed::testing {

struct Ran {
  int exit_code = -1;
  std::string out;
  std::string err;
};

/// `arguments` as a shell would take them, `environment` as in "A=1 B=2".
inline Ran run_program(const TempFolder& folder, const std::string& arguments,
                       const std::string& environment = "") {
  const std::string out = folder.file("stdout.txt");
  const std::string err = folder.file("stderr.txt");
  const std::string line = "cd '" + folder.path() + "' && " + environment + " '" + CURBSHED_PROGRAM + "' " +
                           arguments + " >'" + out + "' 2>'" + err + "'";
  const int status = std::system(line.c_str());
  Ran ran;
  ran.exit_code = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
  ran.out = read_text(out);
  ran.err = read_text(err);
  return ran;
}

}  // namespace curbshed::testing
