#include "curbshed/report/choice_figure.hpp"

#include "support/small_facts.hpp"

#include <gtest/gtest.h>

namespace curbshed::report {
namespace {

using testing::SmallFacts;

std::size_t count(const std::string& text, const std::string& part) {
  std::size_t found = 0;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++found;
  return found;
}

TEST(ChoiceFigure, OneStepACutAndALineThatNoSetCanPass) {
  SmallFacts run;
  siting::ChosenCuts chosen;
  chosen.aim = "captured";
  chosen.choice.build_order = {1, 0};
  chosen.choice.value_after = {2.0, 3.0};
  chosen.choice.value = 3.0;
  chosen.choice.bound = 4.0;
  run.facts.chosen = &chosen;
  const std::string svg = choice_figure(run.facts, Units::Metric);
  // 120 units stand for the bound: 2 of 4 is 60 high, 3 of 4 is 90.
  EXPECT_NE(svg.find("M8 154V94H54V64H100V154Z"), std::string::npos) << svg;
  EXPECT_NE(svg.find("no set more than 4.0 m3"), std::string::npos) << svg;
  EXPECT_EQ(count(svg, "<svg"), 1U);
  chosen.choice.proved = true;
  EXPECT_EQ(choice_figure(run.facts, Units::Metric).find("no set more than"), std::string::npos);
}

TEST(ChoiceFigure, NothingChosenDrawsNothing) {
  SmallFacts run;
  EXPECT_EQ(choice_figure(run.facts, Units::Metric), "");
  siting::ChosenCuts chosen;
  run.facts.chosen = &chosen;
  EXPECT_EQ(choice_figure(run.facts, Units::Metric), "");
}

}  // namespace
}  // namespace curbshed::report
