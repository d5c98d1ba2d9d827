#include "curbshed/siting/room.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace curbshed::siting {
namespace {

constexpr double kSame_m = 1e-9;

bool less(double a, double b) { return a < b - kSame_m; }

/// Depth at which slopes from both sides leave the least floor.
double deepest_m(double across_m, const RoomRules& rules) {
  const double slopes_m = across_m - rules.least_floor_m;
  if (slopes_m < -kSame_m) return -1.0;
  return rules.side_slope > 0.0 ? std::max(slopes_m, 0.0) / (2.0 * rules.side_slope) : HUGE_VAL;
}

void check(const RoomAsked& asked, const RoomThere& there, const RoomRules& rules) {
  base::ensure(asked.length_m > 0.0 && asked.width_m > 0.0 && asked.ponding_m > 0.0, "a basin has a size");
  base::ensure(rules.side_slope >= 0.0 && rules.least_floor_m > 0.0,
               "slopes and floor are no less than none");
  base::ensure(there.free_m >= 0.0, "free curb is no less than none");
}

std::string short_length(double length_m, street::TapeUnit unit) {
  return street::tape_text(length_m, unit, unit == street::TapeUnit::Metre ? 1 : 0);
}

}  // namespace

RoomAnswer fit_room(const RoomAsked& asked, const RoomThere& there, const RoomRules& rules) {
  check(asked, there, rules);
  const double beside_curb_m = there.parking ? rules.step_out_m : rules.back_of_curb_m;
  const double slope_m = rules.side_slope * rules.drop_m;  // rim to water line, one side
  const double edges_m = beside_curb_m + (there.walk ? rules.shelf_m : 0.0) + 2.0 * slope_m;
  RoomAnswer out;
  out.width_known = there.strip_m.has_value();
  out.needed_strip_m = edges_m + asked.width_m;
  out.least_strip_m = edges_m + 2.0 * rules.side_slope * asked.ponding_m + rules.least_floor_m;
  out.needed_free_m = asked.length_m + 2.0 * slope_m;
  out.too_narrow = there.strip_m && less(*there.strip_m, out.needed_strip_m);
  out.too_short = less(there.free_m, out.needed_free_m);
  const double across_m = there.strip_m ? *there.strip_m - edges_m : asked.width_m;
  const double along_m = there.free_m - 2.0 * slope_m;
  if (there.strip_m && deepest_m(across_m, rules) >= 0.0) out.deepest_ponding_m = deepest_m(across_m, rules);

  RoomBasin basin;
  basin.width_m = std::min(asked.width_m, across_m);
  basin.length_m = std::min(asked.length_m, along_m);
  basin.setback_m = beside_curb_m + slope_m;
  const double least_length_m = std::min(rules.least_length_m, asked.length_m);
  out.no_length = less(basin.length_m, least_length_m);
  basin.ponding_m =
      std::min({asked.ponding_m, deepest_m(basin.width_m, rules), deepest_m(basin.length_m, rules)});
  const double least_ponding_m = std::min(rules.least_ponding_m, asked.ponding_m);
  out.no_depth = less(std::min(asked.ponding_m, deepest_m(basin.width_m, rules)), least_ponding_m);
  if (out.no_length || less(basin.ponding_m, least_ponding_m)) return out;
  basin.floor_width_m = basin.width_m - 2.0 * rules.side_slope * basin.ponding_m;
  basin.floor_length_m = basin.length_m - 2.0 * rules.side_slope * basin.ponding_m;
  out.basin = basin;
  out.asked_fits = !out.too_narrow && !out.too_short && !less(basin.ponding_m, asked.ponding_m);
  return out;
}

std::string room_words(const RoomAsked& asked, const RoomThere& there, const RoomAnswer& answer,
                       street::TapeUnit unit) {
  if (answer.asked_fits) return {};
  const auto length = [&](double length_m) { return short_length(length_m, unit); };
  std::string words;
  if (answer.too_narrow) {
    words = fmt::format("the strip is {} wide and the basin needs {}", length(*there.strip_m),
                        length(answer.needed_strip_m));
  }
  if (answer.too_short) {
    words += fmt::format("{}{} of curb are free and the basin needs {}", words.empty() ? "" : "; ",
                         length(there.free_m), length(answer.needed_free_m));
  }
  if (words.empty()) words = "its own width leaves too little floor";
  if (!answer.basin) return words + (answer.no_depth ? ": too little depth is left" : ": too little is left");
  const RoomBasin& basin = *answer.basin;
  std::string would;
  const auto add = [&](bool changed, double size_m, const char* word) {
    if (changed) would += fmt::format("{}{} {}", would.empty() ? "" : ", ", length(size_m), word);
  };
  add(less(basin.ponding_m, asked.ponding_m), basin.ponding_m, "deep");
  add(less(basin.width_m, asked.width_m), basin.width_m, "wide");
  add(less(basin.length_m, asked.length_m), basin.length_m, "long");
  return fmt::format("{}: {} fits", words, would);
}

ChannelAnswer fit_channel(const ChannelThere& there, const ChannelRules& rules) {
  ChannelAnswer out;
  out.cover_m = there.curb_height_m - rules.height_m;
  out.fall_m = rules.fall * there.length_m;
  out.too_thin = less(out.cover_m, rules.cover_m);
  out.too_flat = less(there.ponding_m, out.fall_m);
  out.too_long = less(rules.most_length_m, there.length_m);
  return out;
}

std::string channel_words(const ChannelThere& there, const ChannelAnswer& answer, const ChannelRules& rules,
                          street::TapeUnit unit) {
  const auto length = [&](double length_m) { return short_length(length_m, unit); };
  std::string words;
  const auto add = [&](const std::string& more) { words += (words.empty() ? "" : "; ") + more; };
  if (answer.too_long) {
    add(fmt::format("the channel would be {} long, over {}", length(there.length_m),
                    length(rules.most_length_m)));
  }
  if (answer.too_thin) {
    add(fmt::format("a curb of {} leaves {} of cover, under {}", length(there.curb_height_m),
                    length(std::max(answer.cover_m, 0.0)), length(rules.cover_m)));
  }
  if (answer.too_flat) {
    add(fmt::format("it falls by {} and the basin is only {} deep", length(answer.fall_m),
                    length(there.ponding_m)));
  }
  return words;
}

}  // namespace curbshed::siting
