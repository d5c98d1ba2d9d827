#include "curbshed/cli/feature_rows.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/cli/gather_inputs.hpp"

#include "support/small_study.hpp"

#include <gtest/gtest.h>

namespace curbshed::cli {
namespace {

using testing::SmallStudy;
using testing::TempFolder;

std::string cut(const std::string& columns, const std::string& values) {
  return fmt::format("name,east,north,{}\nK1,{},{},{}\n", columns, SmallStudy::kWest_m + 10.0,
                     SmallStudy::kMiddle_m + 4.0, values);
}

study::SiteOverrides read(const std::string& columns, const std::string& values) {
  const TempFolder folder;
  SmallStudy::write(folder);
  folder.write("cuts.csv", cut(columns, values));
  return gather_inputs(study::read_study(folder.file("study.toml")), {}).inputs.overrides[0];
}

TEST(FeatureRows, ACutBringsWhatItsRowSays) {
  const study::SiteOverrides own = read("opening,ponding,infiltration,words", "2 ft,4 in,1 in/h,by the kiln");
  EXPECT_NEAR(own.opening_m.value(), 0.6096, 1e-12);
  EXPECT_NEAR(own.ponding_m.value(), 0.1016, 1e-12);
  EXPECT_NEAR(own.infiltration_m_s.value(), 0.0254 / 3600.0, 1e-15);
  EXPECT_EQ(own.words, "by the kiln");
  EXPECT_FALSE(own.basin_length_m.has_value());
}

TEST(FeatureRows, ABasinWithoutAFloorIsRefused) {
  EXPECT_NO_THROW(read("side_slope", "4"));
  EXPECT_THROW(read("side_slope", "5"), base::InputError);  // 2 × 5 × 0.15 m = 1.5 m, its width
}

}  // namespace
}  // namespace curbshed::cli
