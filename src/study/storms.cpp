#include "curbshed/study/storms.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/water/rain.hpp"

#include <fmt/format.h>

namespace curbshed::study {
namespace {

std::string duration_words(double seconds) {
  const double minutes = seconds / 60.0;
  return minutes >= 60.0 ? fmt::format("{:g} h", minutes / 60.0) : fmt::format("{:g} min", minutes);
}

Storm built(const Settings& settings, const StormSetting& asked) {
  const RainSettings& rain = settings.rain;
  const double block_s =
      asked.shape.empty() ? rain.block_s : asked.duration_s / static_cast<double>(asked.shape.size());
  water::BlockStorm blocks;
  blocks.depth = base::Length::metres(asked.depth_m);
  blocks.duration = base::Duration::seconds(asked.duration_s);
  blocks.block = base::Duration::seconds(block_s);
  blocks.shape = asked.shape;
  Storm storm;
  storm.id = asked.id;
  storm.title = asked.title;
  storm.step_s = rain.step_s;
  storm.dry_reset_s = rain.dry_reset_s;
  try {
    storm.rain_m = water::step_depths_m(water::block_depths_m(blocks), {block_s, rain.step_s, rain.after_s});
  } catch (const base::InputError& error) {
    throw error.located({settings.file, "[rain]", fmt::format("storm {}", asked.id)});
  }
  return storm;
}

}  // namespace

std::vector<Storm> storms_of(const Settings& settings) {
  const RainSettings& rain = settings.rain;
  std::vector<StormSetting> asked = {
      {"common", "common storm", rain.common_depth_m, 3600.0, {}},
      {"two_year", "2-year hour", rain.two_year_1h_m.value_or(0.0), 3600.0, {}},
      {"ten_year", "10-year hour", rain.ten_year_1h_m.value_or(0.0), 3600.0, {}}};
  asked.insert(asked.end(), rain.storms.begin(), rain.storms.end());
  std::vector<Storm> storms;
  for (StormSetting& one : asked) {
    const std::string size =
        fmt::format("{:g} mm in {}", one.depth_m * 1000.0, duration_words(one.duration_s));
    one.title = one.title.empty() ? size : fmt::format("{}: {}", one.title, size);
    storms.push_back(built(settings, one));
  }
  return storms;
}

Storm hour_storm(const Settings& settings, double depth_m) {
  return built(settings, {"hour", "", depth_m, 3600.0, {}});
}

}  // namespace curbshed::study
