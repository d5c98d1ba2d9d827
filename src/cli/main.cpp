#include "curbshed/base/error.hpp"
#include "curbshed/cli/console.hpp"
#include "curbshed/cli/desk_command.hpp"
#include "curbshed/cli/ground_command.hpp"
#include "curbshed/cli/interrupt.hpp"
#include "curbshed/cli/licences_text.hpp"
#include "curbshed/cli/run_command.hpp"
#include "curbshed/cli/start_command.hpp"
#include "curbshed/cli/version_text.hpp"

#include <cstdio>
#include <new>
#include <string>

#include <unistd.h>

namespace {

using namespace curbshed;

int fail(int code, const std::string& message) {
  // After a signal the watcher ends the process with its own code.
  while (cli::interrupted()) {
    ::pause();
  }
  std::fputs(("curbshed: " + message + "\n").c_str(), stderr);
  return code;
}

int act(const cli::Options& options) {
  cli::Console console(options);
  if (options.command == cli::Command::Version) {
    console.print(cli::version_text());
    return cli::kDone;
  }
  if (options.command == cli::Command::Start) {
    return cli::start_command(options, console);
  }
  if (options.command == cli::Command::Desk) {
    console.print(cli::desk_command(options));
    return cli::kDone;
  }
  if (options.command == cli::Command::Licences) {
    console.print(cli::licences_text());
    return cli::kDone;
  }
  if (options.command == cli::Command::Ground) {
    return cli::ground_command(options, console);
  }
  return cli::run_command(options, console);
}

}  // namespace

int main(int count, char** words) {
  cli::watch_interrupts();
  try {
    const cli::Parsed parsed = cli::parse_command_line(count, words);
    if (parsed.leave) {
      std::fputs(parsed.text.c_str(), parsed.exit_code == cli::kDone ? stdout : stderr);
      return parsed.exit_code;
    }
    return act(parsed.options);
  } catch (const base::InputError& error) {
    return fail(cli::kBadInput, error.what());
  } catch (const std::bad_alloc&) {
    return fail(cli::kBadInput,
                "the memory is not enough for this study. Do: take a smaller area or larger cells.");
  } catch (const std::exception& error) {
    return fail(cli::kOurBug,
                std::string(error.what()) + "\nThis is a bug of curbshed. Please report it with the study.");
  } catch (...) {
    return fail(cli::kOurBug,
                "something unknown went wrong. This is a bug of curbshed. Please report it with the study.");
  }
}
