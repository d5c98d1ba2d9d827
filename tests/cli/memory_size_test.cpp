#include "curbshed/cli/memory_size.hpp"

#include <gtest/gtest.h>

namespace curbshed::cli {
namespace {

TEST(MemorySize, IsReadWithItsUnit) {
  EXPECT_EQ(parse_memory_size("512MB"), 512'000'000);
  EXPECT_EQ(parse_memory_size("1.5 gb"), 1'500'000'000);
  EXPECT_EQ(parse_memory_size("2GiB"), 2'147'483'648);
  EXPECT_EQ(parse_memory_size("64kb"), 64'000);
}

TEST(MemorySize, AnythingElseIsNone) {
  for (const char* text : {"", "MB", "512", "0MB", "-1GB", "1e30GB", "nanGB", "infGB", "12 apples", "1GB2"}) {
    EXPECT_FALSE(parse_memory_size(text).has_value()) << text;
  }
}

TEST(MemorySize, IsToldInThreeDigits) {
  EXPECT_EQ(memory_words(23.04e6), "23 MB");
  EXPECT_EQ(memory_words(2.5e9), "2.5 GB");
  EXPECT_EQ(memory_words(999.9e6), "1 GB");
}

}  // namespace
}  // namespace curbshed::cli
