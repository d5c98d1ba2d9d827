// A run that is killed leaves the old results whole; one that is interrupted cleans up and says 130.
#include "curbshed/report/checksum.hpp"

#include "support/program.hpp"
#include "support/small_study.hpp"

#include <chrono>
#include <csignal>
#include <filesystem>
#include <set>
#include <thread>

#include <fcntl.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

namespace curbshed::testing {
namespace {

namespace fs = std::filesystem;
using Clock = std::chrono::steady_clock;

/// The title in the manifest; fails unless the files are exactly those that the manifest names, with its
/// checksums.
std::string title_of_whole_results(const std::string& folder) {
  const nlohmann::json manifest = nlohmann::json::parse(read_text(folder + "/manifest.json"));
  std::set<std::string> expected = {"manifest.json", "run-log.json"};
  for (const auto& [name, sum] : manifest["outputs"].items()) {
    expected.insert(name);
    EXPECT_EQ(report::checksum_of_file(folder + "/" + name).sha256, sum.get<std::string>()) << name;
  }
  std::set<std::string> found;
  for (const fs::directory_entry& entry : fs::recursive_directory_iterator(folder)) {
    if (entry.is_regular_file()) {
      found.insert(fs::relative(entry.path(), folder).generic_string());
    }
  }
  EXPECT_EQ(found, expected);
  return manifest["settings"]["title"]["value"];
}

pid_t start(const TempFolder& folder, const std::string& study) {
  const pid_t child = ::fork();
  if (child == 0) {
    const int sink = ::open("/dev/null", O_WRONLY);
    ::dup2(sink, STDOUT_FILENO);
    ::dup2(sink, STDERR_FILENO);
    if (::chdir(folder.path().c_str()) == 0) {
      ::execl(CURBSHED_PROGRAM, "curbshed", "run", study.c_str(), "--out", "out", "--overwrite", "--threads",
              "2", static_cast<char*>(nullptr));
    }
    ::_exit(99);
  }
  return child;
}

int wait_for(pid_t child) {
  int status = 0;
  ::waitpid(child, &status, 0);
  return status;
}

/// Two studies that differ in their title and their numbers.
void write_both(const TempFolder& folder) {
  SmallStudy::write(folder);
  std::string text = SmallStudy::study();
  text.replace(text.find("Kiln Street, small"), 18, "first");
  folder.write("first.toml", text);
  text.replace(text.find("\"22 mm\""), 7, "\"25 mm\"");
  text.replace(text.find("\"first\""), 7, "\"second\"");
  folder.write("second.toml", text);
}

TEST(KilledRun, OldResultsAreWholeAtTwentyMoments) {
  const TempFolder folder;
  write_both(folder);
  ASSERT_EQ(run_program(folder, "run first.toml --out out").exit_code, 0);
  const auto began = Clock::now();
  ASSERT_EQ(run_program(folder, "run second.toml --out out --overwrite").exit_code, 0);
  std::chrono::duration<double> whole = Clock::now() - began;
  std::string now = "second";
  int killed = 0;
  // Other work on the machine makes runs longer and shorter: a run that ends before its moment is tried again
  // sooner.
  for (int tries = 0; killed < 20 && tries < 200; ++tries) {
    // Half of them fall into the last fifth, where results are written and swapped.
    const double share = killed < 10 ? 0.08 * killed : 0.8 + 0.022 * (killed - 10);
    const std::string next = now == "first" ? "second" : "first";
    const pid_t child = start(folder, next + ".toml");
    std::this_thread::sleep_for(share * whole);
    ::kill(child, SIGKILL);
    if (WIFSIGNALED(wait_for(child))) {
      ++killed;
    } else {
      whole *= 0.95;
    }
    const std::string title = title_of_whole_results(folder.file("out"));
    EXPECT_TRUE(title == now || title == next) << title;
    now = title;
  }
  EXPECT_EQ(killed, 20) << "the moments came too late to kill anything";
  ASSERT_EQ(run_program(folder, "run first.toml --out out --overwrite").exit_code, 0);
  EXPECT_EQ(title_of_whole_results(folder.file("out")), "first");
  EXPECT_FALSE(fs::exists(folder.file("out.partial")));
  EXPECT_FALSE(fs::exists(folder.file("out.lock")));
}

TEST(KilledRun, InterruptsCleanUpAndSay130) {
  const TempFolder folder;
  write_both(folder);
  // Twenty times at once, when the folder has just appeared.
  for (int time = 0; time < 20; ++time) {
    const int signal = time % 2 == 0 ? SIGINT : SIGTERM;
    const pid_t child = start(folder, "first.toml");
    const auto patience = Clock::now() + std::chrono::seconds(20);
    while (!fs::exists(folder.file("out.partial")) && Clock::now() < patience) {
      std::this_thread::sleep_for(std::chrono::microseconds(20));
    }
    ::kill(child, signal);
    const int status = wait_for(child);
    ASSERT_TRUE(WIFEXITED(status));
    EXPECT_EQ(WEXITSTATUS(status), 130);
    EXPECT_FALSE(fs::exists(folder.file("out.partial")));
    EXPECT_FALSE(fs::exists(folder.file("out.lock")));
    EXPECT_FALSE(fs::exists(folder.file("out")));
  }
}

}  // namespace
}  // namespace curbshed::testing
