#include "curbshed/cli/options.hpp"

#include <vector>

#include <gtest/gtest.h>

namespace curbshed::cli {
namespace {

Parsed parse(std::vector<const char*> words) {
  words.insert(words.begin(), "curbshed");
  return parse_command_line(static_cast<int>(words.size()), words.data());
}

TEST(Options, RunTakesAllItsFlags) {
  const Parsed parsed = parse(
      {"run", "s.toml", "--out", "o", "--overwrite", "--threads", "3", "--units", "us", "--strict", "-q"});
  ASSERT_FALSE(parsed.leave) << parsed.text;
  const Options& options = parsed.options;
  EXPECT_EQ(options.command, Command::Run);
  EXPECT_EQ(options.study, "s.toml");
  EXPECT_EQ(options.out, "o");
  EXPECT_TRUE(options.overwrite);
  EXPECT_TRUE(options.strict);
  EXPECT_TRUE(options.quiet);
  EXPECT_FALSE(options.dry_run);
  EXPECT_EQ(options.threads, 3);
  EXPECT_EQ(options.units, report::Units::Us);
}

TEST(Options, NothingIsAssumedThatWasNotSaid) {
  const Parsed parsed = parse({"check", "s.toml"});
  ASSERT_FALSE(parsed.leave);
  EXPECT_EQ(parsed.options.command, Command::Check);
  EXPECT_FALSE(parsed.options.threads.has_value());
  EXPECT_FALSE(parsed.options.units.has_value());
  EXPECT_FALSE(parsed.options.strict);
}

TEST(Options, ADryRunNeedsNoOutput) { EXPECT_FALSE(parse({"run", "s.toml", "--dry-run"}).leave); }

TEST(Options, WrongWordsLeaveWithTwo) {
  const std::vector<std::vector<const char*>> wrong = {{},
                                                       {"run"},
                                                       {"run", "s.toml"},
                                                       {"run", "s.toml", "--out"},
                                                       {"run", "s.toml", "--out", "o", "--threads", "nan"},
                                                       {"run", "s.toml", "--out", "o", "--threads", "257"},
                                                       {"check", "s.toml", "--out", "o"},
                                                       {"check", "s.toml", "t.toml"},
                                                       {"check", "s.toml", "--units", "SI"},
                                                       {"walk", "s.toml"},
                                                       {"run", "s.toml", "--out", "o", "check", "s.toml"},
                                                       {"--nothing"}};
  for (const auto& words : wrong) {
    const Parsed parsed = parse(words);
    EXPECT_TRUE(parsed.leave);
    EXPECT_EQ(parsed.exit_code, kBadCommandLine);
    EXPECT_FALSE(parsed.text.empty());
  }
}

TEST(Options, HelpLeavesWithZero) {
  for (const auto& words :
       std::vector<std::vector<const char*>>{{"--help"}, {"-h"}, {"run", "--help"}, {"check", "-h"}}) {
    const Parsed parsed = parse(words);
    EXPECT_TRUE(parsed.leave);
    EXPECT_EQ(parsed.exit_code, kDone);
  }
  EXPECT_NE(parse({"run", "--help"}).text.find("--overwrite"), std::string::npos);
  EXPECT_EQ(parse({"check", "--help"}).text.find("--overwrite"), std::string::npos);
}

}  // namespace
}  // namespace curbshed::cli
