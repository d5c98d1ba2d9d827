#include "curbshed/geodata/libraries.hpp"

#include <regex>

#include <gtest/gtest.h>

TEST(Libraries, ListsNamesAndVersions) {
  const auto versions = curbshed::geodata::library_versions();
  ASSERT_GE(versions.size(), 2U);
  EXPECT_EQ(versions[0].first, "GDAL");
  EXPECT_EQ(versions[1].first, "PROJ");
  for (const auto& version : versions) {
    EXPECT_TRUE(std::regex_match(version.second, std::regex(R"(\d+\.\d+\.\d+)")))
        << version.first << " " << version.second;
  }
}
