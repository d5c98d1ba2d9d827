#include "curbshed/base/version.hpp"

#include <regex>

#include <gtest/gtest.h>

TEST(Version, IsThreeNumbers) {
  EXPECT_TRUE(std::regex_match(curbshed::base::version(), std::regex(R"(\d+\.\d+\.\d+)")));
}
