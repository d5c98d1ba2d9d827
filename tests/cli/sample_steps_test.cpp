// The sample at 10 s and at 5 s: what a run tells must not hang on its step.
#include "support/program.hpp"

#include <algorithm>
#include <cmath>
#include <filesystem>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace curbshed::cli {
namespace {

using testing::run_program;
using testing::TempFolder;

nlohmann::json summary_at(const TempFolder& folder, const std::string& step) {
  std::string study = testing::read_text(folder.file("study.toml"));
  study.replace(study.find("[rain]"), 6, "[rain]\nstep = \"" + step + "\"");
  folder.write("step.toml", study);
  const testing::Ran ran = run_program(folder, "run step.toml --out out --overwrite -q");
  EXPECT_EQ(ran.exit_code, 0) << ran.err;
  return nlohmann::json::parse(testing::read_text(folder.file("out/summary.json")));
}

double allowed(const std::string& key) {
  // The last litres at the rim of a full pool go in and out with the gutter's level.
  if (key == "entered_m3" || key == "returned_m3") return 0.01;
  if (key.find("_m3") != std::string::npos) return 0.001;
  if (key.find("_l_s") != std::string::npos || key.find("peak") != std::string::npos) return 0.01;
  if (key.find("_min") != std::string::npos) return 0.01;  // whole steps
  return 0.01;
}

struct Compared {
  int numbers = 0;
};

void compare(const nlohmann::json& a, const nlohmann::json& b, const std::string& key,
             const std::string& path, Compared& done) {
  ASSERT_EQ(a.type(), b.type()) << path;
  if (a.is_structured()) {
    ASSERT_EQ(a.size(), b.size()) << path;
    for (const auto& [name, value] : a.items()) {
      const nlohmann::json& other = a.is_object() ? b.at(name) : b.at(std::stoul(name));
      compare(value, other, a.is_object() ? name : key, path + "/" + name, done);
    }
  } else if (a.is_number_float()) {
    const double x = a.get<double>();
    // A litre, a millilitre a second, a few seconds: under these the shares say nothing.
    // A change in per cent is the difference of two peaks, each held to 1 %: a tenth of that.
    const double floor = key.find("change_percent") != std::string::npos ? 0.1
                         : key.find("percent") != std::string::npos      ? 0.02
                                                                         : 0.001;
    EXPECT_NEAR(b.get<double>(), x, std::fmax(allowed(key) * std::fabs(x), floor)) << path;
    ++done.numbers;
  }
}

/// Rises are named from a tenth of a per cent on: at that edge a step may name one more.
void match_rises(nlohmann::json& a, nlohmann::json& b) {
  constexpr double kNear = 0.15;
  const auto keep_common = [&](nlohmann::json& list, const nlohmann::json& other) {
    nlohmann::json kept = nlohmann::json::array();
    for (const nlohmann::json& rise : list) {
      const bool both = std::any_of(other.begin(), other.end(),
                                    [&](const nlohmann::json& one) { return one.at("at") == rise.at("at"); });
      // Made of the two peaks, which are compared themselves.
      EXPECT_NEAR(rise.at("change_percent").get<double>(),
                  100.0 * (rise.at("after_l_s").get<double>() / rise.at("before_l_s").get<double>() - 1.0),
                  1e-9);
      if (both) {
        kept.push_back(rise);
        kept.back().erase("change_percent");
      } else {
        EXPECT_LT(rise.at("change_percent").get<double>(), kNear) << rise.at("at");
      }
    }
    return kept;
  };
  const nlohmann::json of_a = keep_common(a, b);
  b = keep_common(b, a);
  a = of_a;
}

TEST(SampleSteps, TenSecondsTellTheSameAsFive) {
  const TempFolder folder;
  std::filesystem::copy(std::string(CURBSHED_SOURCE_DIR) + "/sample-rasters/four-blocks", folder.path(),
                        std::filesystem::copy_options::recursive);
  nlohmann::json five = summary_at(folder, "5 s");
  nlohmann::json ten = summary_at(folder, "10 s");
  for (std::size_t i = 0; i < five.at("storms").size(); ++i) {
    match_rises(five.at("storms")[i].at("rises"), ten.at("storms")[i].at("rises"));
  }
  Compared done;
  for (const char* part : {"storms", "cuts", "basins", "outfalls", "inlets", "sags"}) {
    compare(five.at(part), ten.at(part), part, part, done);
  }
  EXPECT_GT(done.numbers, 500);
}

}  // namespace
}  // namespace curbshed::cli
