#include "curbshed/study/storms.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/study/rain_table.hpp"
#include "curbshed/water/design_storms.hpp"
#include "curbshed/water/rain.hpp"

#include <filesystem>

#include <fmt/format.h>

namespace curbshed::study {
namespace {

std::string duration_words(double seconds) {
  const double minutes = seconds / 60.0;
  return minutes >= 60.0 ? fmt::format("{:g} h", minutes / 60.0) : fmt::format("{:g} min", minutes);
}

/// Depths of the storm's blocks, and how long a block is.
struct Blocks {
  std::vector<double> depths_m;
  double block_s = 0.0;
};

std::string beside(const Settings& settings, const std::string& file) {
  const std::filesystem::path path(file);
  return path.is_absolute() ? file : (std::filesystem::path(settings.folder) / path).string();
}

Blocks blocks_of(const Settings& settings, const StormSetting& asked) {
  const double block_s = settings.rain.block_s;
  const base::Duration block = base::Duration::seconds(block_s);
  if (asked.kind == "alternating" || asked.kind == "chicago") {
    const water::DepthCurve curve = read_depth_curve(beside(settings, asked.table), asked.column);
    const water::CurveStorm storm{
        .duration = base::Duration::seconds(asked.duration_s), .block = block, .peak_at = asked.peak_at};
    return {asked.kind == "chicago" ? water::chicago_blocks_m(curve, storm)
                                    : water::alternating_blocks_m(curve, storm),
            block_s};
  }
  if (!asked.kind.empty()) {
    return {water::day_blocks_m(water::day_shape(asked.kind), base::Length::metres(asked.depth_m), block),
            block_s};
  }
  water::BlockStorm storm;
  storm.depth = base::Length::metres(asked.depth_m);
  storm.duration = base::Duration::seconds(asked.duration_s);
  storm.shape = asked.shape;
  const double own_s =
      asked.shape.empty() ? block_s : asked.duration_s / static_cast<double>(asked.shape.size());
  storm.block = base::Duration::seconds(own_s);
  return {water::block_depths_m(storm), own_s};
}

/// What a storm finds, where it is not the usual: ", on wet ground, basins 50 % full at the start".
std::string start_words(const Settings& settings) {
  std::string words;
  if (settings.soil.condition != "average") words += fmt::format(", on {} ground", settings.soil.condition);
  if (settings.basin.start_share > 0.0) {
    words += fmt::format(", basins {:g} % full at the start", settings.basin.start_share * 100.0);
  }
  return words;
}

Storm built(const Settings& settings, const StormSetting& asked) {
  const RainSettings& rain = settings.rain;
  Storm storm;
  storm.id = asked.id;
  storm.step_s = rain.step_s;
  storm.dry_reset_s = rain.dry_reset_s;
  try {
    const Blocks blocks = blocks_of(settings, asked);
    storm.rain_m = water::step_depths_m(blocks.depths_m, {blocks.block_s, rain.step_s, rain.after_s});
    const double rain_s = blocks.block_s * static_cast<double>(blocks.depths_m.size());
    const std::string size = fmt::format("{:.4g} mm in {}", storm.depth_m() * 1000.0, duration_words(rain_s));
    storm.title =
        (asked.title.empty() ? size : fmt::format("{}: {}", asked.title, size)) + start_words(settings);
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
  for (const StormSetting& one : asked) {
    storms.push_back(built(settings, one));
  }
  return storms;
}

Storm hour_storm(const Settings& settings, double depth_m) {
  return built(settings, {"hour", "", depth_m, 3600.0, {}});
}

}  // namespace curbshed::study
