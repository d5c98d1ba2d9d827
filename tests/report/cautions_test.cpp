#include "curbshed/report/cautions.hpp"

#include <gtest/gtest.h>

namespace curbshed::report {
namespace {

TEST(Cautions, NoneIsMissing) {
  const std::string line = cautions_line();
  for (const char* part :
       {"not for drainage design, flood zones or permits", "as if these basins were full",
        "Permits and the city's rules", "buried lines located before any digging",
        "traffic, open holes, saw dust and heat", "foundations, slopes, wells", "licensed advice",
        "No standing water beyond the local limit", "Edible plants and street water"}) {
    EXPECT_NE(line.find(part), std::string::npos) << part;
  }
}

}  // namespace
}  // namespace curbshed::report
