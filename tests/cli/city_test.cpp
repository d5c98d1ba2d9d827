// A made town with broken curbs, and the line that shows how far a run is.
#include "support/program.hpp"

#include <array>
#include <filesystem>
#include <regex>

#include <fcntl.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>
#include <sys/wait.h>
#include <unistd.h>

namespace curbshed::testing {
namespace {

namespace fs = std::filesystem;

std::string make_town(const TempFolder& folder, const std::string& name, const std::string& more) {
  const std::string script = std::string(CURBSHED_SOURCE_DIR) + "/scripts/make_city.py";
  const std::string line = "/usr/bin/python3 '" + script + "' '" + folder.file(name) +
                           "' --cells 800 --cuts 2500 " + more + " >/dev/null";
  EXPECT_EQ(std::system(line.c_str()), 0) << line;
  return name + "/study.toml";
}

/// What a program with a terminal as stderr writes there.
std::string shown_on_terminal(const TempFolder& folder, const std::vector<std::string>& arguments,
                              int& status) {
  const int terminal = ::posix_openpt(O_RDWR | O_NOCTTY);
  EXPECT_GE(terminal, 0);
  EXPECT_EQ(::grantpt(terminal), 0);
  EXPECT_EQ(::unlockpt(terminal), 0);
  const std::string name = ::ptsname(terminal);
  const int other_end = ::open(name.c_str(), O_RDWR | O_NOCTTY);
  const pid_t child = ::fork();
  if (child == 0) {
    ::dup2(::open("/dev/null", O_WRONLY), STDOUT_FILENO);
    ::dup2(other_end, STDERR_FILENO);
    std::vector<char*> words;
    std::string program = CURBSHED_PROGRAM;
    words.push_back(program.data());
    std::vector<std::string> copies = arguments;
    for (std::string& word : copies) words.push_back(word.data());
    words.push_back(nullptr);
    if (::chdir(folder.path().c_str()) == 0) ::execv(words[0], words.data());
    ::_exit(99);
  }
  ::close(other_end);
  std::string text;
  std::array<char, 4096> part{};
  for (ssize_t count = 0; (count = ::read(terminal, part.data(), part.size())) > 0;) {
    text.append(part.data(), static_cast<std::size_t>(count));
  }
  ::close(terminal);
  ::waitpid(child, &status, 0);
  return text;
}

TEST(City, AFewBrokenCurbsAreSetAsideAndManyStopTheRunWithTheWorstReasonFirst) {
  const TempFolder folder;
  const std::string few = make_town(folder, "few", "--broken-curbs 0.01");
  const Ran ran = run_program(folder, "run " + few + " --out out");
  ASSERT_EQ(ran.exit_code, 0) << ran.err;
  EXPECT_EQ(ran.err, "");
  EXPECT_NE(read_text(folder.file("out/set_aside.csv")).find("street.curbs"), std::string::npos);

  const std::string many = make_town(folder, "many", "--broken-curbs 0.10");
  const Ran stopped = run_program(folder, "run " + many + " --out none");
  EXPECT_EQ(stopped.exit_code, 1);
  EXPECT_FALSE(fs::exists(folder.file("none")));
  const std::regex worst("([0-9]+) of [0-9]+ features cannot be used; ([0-9]+) × .*; ([0-9]+) × ");
  std::smatch found;
  ASSERT_TRUE(std::regex_search(stopped.err, found, worst)) << stopped.err;
  EXPECT_GE(std::stoi(found[2]), std::stoi(found[3]));
}

TEST(City, ATerminalSeesEveryStageAndAShareThatOnlyGrows) {
  const TempFolder folder;
  const std::string study = make_town(folder, "town", "");
  int status = 0;
  const std::string text = shown_on_terminal(folder, {"run", study, "--out", "out"}, status);
  ASSERT_TRUE(WIFEXITED(status) && WEXITSTATUS(status) == 0) << text;
  const nlohmann::json log = nlohmann::json::parse(read_text(folder.file("out/run-log.json")));
  EXPECT_GE(log["stages_s"].size(), 8U);
  for (const auto& [stage, seconds] : log["stages_s"].items()) {
    EXPECT_NE(text.find(stage + " …"), std::string::npos) << stage;
    EXPECT_GT(log["stages_peak_mb"][stage].get<double>(), 1.0) << stage;
  }
  int last = -1;
  int numbers = 0;
  const std::regex percent("… ([0-9]+) %");
  for (std::sregex_iterator it(text.begin(), text.end(), percent); it != std::sregex_iterator(); ++it) {
    const int now = std::stoi((*it)[1]);
    EXPECT_GE(now, last);
    EXPECT_LE(now, 100);
    last = now;
    ++numbers;
  }
  EXPECT_GE(numbers, 8);
  const std::string erased = "\r\033[K";
  EXPECT_EQ(text.substr(text.size() - erased.size()), erased) << "the line is not left behind";

  EXPECT_EQ(shown_on_terminal(folder, {"run", study, "--out", "quiet", "-q"}, status), "");
  EXPECT_TRUE(WIFEXITED(status) && WEXITSTATUS(status) == 0);
}

}  // namespace
}  // namespace curbshed::testing
