// The registry of outside checks: each a named test, and the page that lists them.
#include "support/temp_folder.hpp"
#include "support/validation_page.hpp"

#include <cstdlib>
#include <fstream>
#include <set>
#include <utility>

#include <gtest/gtest.h>

namespace curbshed::testing {

void PrintTo(const OutsideCheck& check, std::ostream* out) { *out << check.document << ", " << check.number; }

namespace {

class OutsideChecks : public ::testing::TestWithParam<OutsideCheck> {};

TEST_P(OutsideChecks, AgreesWithThePrintedNumbers) {
  const OutsideCheck& check = GetParam();
  ASSERT_FALSE(check.printed.empty());
  for (const PrintedValue& value : check.printed) {
    EXPECT_NEAR(value.ours, value.printed, value.allowed()) << value.what << ", " << value.unit;
    EXPECT_TRUE(value.tolerance == 0.0 || !value.why.empty() ||
                value.allowed() <= 0.52 * std::pow(10.0, -value.decimals))
        << value.what << " has a wider tolerance and does not say why";
  }
}

TEST_P(OutsideChecks, AgreesWithTheSameFormulaWorkedApart) {
  for (const ExactValue& value : GetParam().exact) {
    EXPECT_NEAR(value.ours, value.exact, 1e-6 * std::fabs(value.exact)) << value.what;
  }
}

INSTANTIATE_TEST_SUITE_P(Published, OutsideChecks, ::testing::ValuesIn(outside_checks()),
                         [](const ::testing::TestParamInfo<OutsideCheck>& one) {
                           return test_name(one.param);
                         });

TEST(ValidationPage, CountsAtLeastFortyDifferentPairs) {
  std::set<std::pair<std::string, std::string>> pairs;
  for (const OutsideCheck& check : outside_checks()) {
    EXPECT_TRUE(pairs.emplace(check.document, check.number).second)
        << check.document << ", " << check.number << " twice";
  }
  EXPECT_GE(pairs.size(), 40U);
}

TEST(ValidationPage, DerivedNumbersHold) {
  for (const DerivedCheck& check : derived_checks()) {
    EXPECT_NEAR(check.ours, check.expected, 0.501 * std::pow(10.0, -check.decimals)) << check.what;
  }
}

TEST(ValidationPage, IsTheCommittedPage) {
  const std::string page = std::string(CURBSHED_SOURCE_DIR) + "/docs/validation.md";
  if (std::getenv("CURBSHED_WRITE_DOCS") != nullptr) {
    std::ofstream(page, std::ios::binary) << validation_page();
  }
  EXPECT_EQ(read_text(page), validation_page()) << "docs/validation.md is made from the registry of outside "
                                                   "checks: run this test once with CURBSHED_WRITE_DOCS=1";
}

}  // namespace
}  // namespace curbshed::testing
