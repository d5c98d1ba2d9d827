#include "curbshed/siting/candidates.hpp"

#include "curbshed/base/error.hpp"

#include "siting/candidates_curb.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>

#include <fmt/format.h>

namespace curbshed::siting {
namespace {

using base::Point;
using detail::CurbPlace;
using detail::CurbRow;

constexpr double kCubicYard_m3 = 0.764554857984;  // 27 international cubic feet
constexpr double kSquareFoot_m2 = 0.09290304;
constexpr double kFoot_m = 0.3048;

/// What a basin gets at one place, and how.
struct Fit {
  CandidatePlace place = CandidatePlace::Strip;
  RoomThere there;
  RoomAnswer answer;
  double setback_m = 0.0;
  double channel_m = 0.0;
  bool on_lot = false;
  std::string words;
};

class Finder {
 public:
  Finder(const CandidateInputs& inputs, const study::Settings& settings)
      : in_(inputs),
        settings_(settings),
        asked_(asked_basin(settings)),
        rules_(room_rules(settings)),
        channel_(channel_rules(settings)),
        look_(*inputs.beside),
        rows_(detail::curb_rows(inputs, settings)) {}

  CandidatePlaces find() {
    CandidatePlaces out;
    for (std::size_t g = 0; g < rows_.size(); ++g) find_on(static_cast<std::int32_t>(g), out);
    return out;
  }

 private:
  void find_on(std::int32_t group, CandidatePlaces& out) {
    row_ = &rows_[static_cast<std::size_t>(group)];
    seen_.assign(row_->places.size(), std::nullopt);
    const double spacing_m = settings_.candidates.spacing_m;
    double last_m = -std::numeric_limits<double>::infinity();
    std::size_t first = 0;
    while (first < row_->places.size()) {
      const double stretch = std::floor(row_->places[first].along_m / spacing_m);
      std::size_t end = first;
      while (end < row_->places.size() && std::floor(row_->places[end].along_m / spacing_m) == stretch) ++end;
      const double middle_m = (stretch + 0.5) * spacing_m;
      std::vector<std::size_t> order;
      for (std::size_t i = first; i < end; ++i) order.push_back(i);
      std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
        const double off_a = std::abs(row_->places[a].along_m - middle_m);
        const double off_b = std::abs(row_->places[b].along_m - middle_m);
        return off_a != off_b ? off_a < off_b : a < b;
      });
      ++out.stretches;
      std::optional<WhyNone> why;
      bool found = false;
      for (const std::size_t i : order) {
        const std::optional<WhyNone> here = take(group, i, last_m, out);
        if (!here) {
          last_m = row_->places[i].along_m;
          found = true;
          break;
        }
        if (!why) why = here;
      }
      if (!found) ++out.without[static_cast<std::size_t>(why.value_or(WhyNone::Room))];
      first = end;
    }
  }

  /// Why not; nothing where it was taken.
  std::optional<WhyNone> take(std::int32_t group, std::size_t i, double last_m, CandidatePlaces& out) {
    const CurbPlace& place = row_->places[i];
    if (place.no_basin) return place.no_basin;
    if (place.no_cut) return place.no_cut;
    if (place.along_m - last_m < 0.5 * settings_.candidates.spacing_m) return WhyNone::Room;
    if (taken_.count(place.gutter_cell) != 0) return WhyNone::Room;
    std::optional<Fit> fit = fit_at(i);
    if (!fit) return WhyNone::Room;
    CandidateSpot spot;
    spot.place = fit->place;
    spot.at = place.at;
    spot.to_street = place.to_street;
    spot.curb = place.curb;
    spot.along_curb_m = place.along_curb_m;
    spot.gutter_cell = place.gutter_cell;
    spot.group = group;
    spot.along_m = place.along_m;
    spot.there = fit->there;
    spot.basin = *fit->answer.basin;
    spot.setback_m = fit->setback_m;
    spot.channel_m = fit->channel_m;
    spot.curb_height_m = place.curb_height_m;
    spot.on_lot = fit->on_lot;
    spot.words = std::move(fit->words);
    if (!ground_known(spot)) return WhyNone::Ground;
    taken_.insert(place.gutter_cell);
    out.spots.push_back(std::move(spot));
    return std::nullopt;
  }

  const StripProfile& seen(std::size_t i) {
    if (!seen_[i]) seen_[i] = look_.at(row_->places[i].at, row_->places[i].to_street);
    return *seen_[i];
  }

  /// Free curb to each side of `i`, as far as the asked basin's rim reaches, where `ok` holds.
  template <class Ok>
  double free_m(std::size_t i, const Ok& ok) {
    const std::vector<CurbPlace>& places = row_->places;
    const double wanted_m = 0.5 * asked_.length_m + rules_.side_slope * rules_.drop_m;
    const auto reach = [&](int step) {
      double reached_m = 0.0;
      for (auto k = static_cast<std::ptrdiff_t>(i); reached_m < wanted_m;) {
        const std::ptrdiff_t next = k + step;
        if (next < 0 || next >= static_cast<std::ptrdiff_t>(places.size())) break;
        const CurbPlace& there = places[static_cast<std::size_t>(next)];
        const std::size_t breaks = static_cast<std::size_t>(step > 0 ? next : k);
        if (there.no_basin || places[breaks].break_before || !straight(i, static_cast<std::size_t>(next)) ||
            !ok(static_cast<std::size_t>(next))) {
          break;
        }
        k = next;
        reached_m = std::abs(there.along_m - places[i].along_m);
      }
      return std::min(reached_m, wanted_m);
    };
    return 2.0 * std::min(reach(-1), reach(+1));
  }

  bool straight(std::size_t a, std::size_t b) const {
    constexpr double kCosine = 0.97;
    const Point& p = row_->places[a].to_street;
    const Point& q = row_->places[b].to_street;
    return p.x_m * q.x_m + p.y_m * q.y_m >= kCosine;
  }

  bool parks(std::size_t i) {
    return settings_.candidates.parking_lane_m.has_value() || seen(i).parking_m.has_value();
  }

  std::optional<Fit> fit_at(std::size_t i) {
    std::optional<Fit> fit = in_strip(i);
    if (!fit && settings_.candidates.behind_walk) fit = behind_walk(i);
    if (!fit && settings_.candidates.bulb) fit = in_lane(i);
    return fit;
  }

  std::optional<Fit> in_strip(std::size_t i) {
    Fit fit;
    fit.there.parking = parks(i);
    const double least_m = (fit.there.parking ? rules_.step_out_m : rules_.back_of_curb_m) +
                           2.0 * rules_.side_slope * (rules_.least_ponding_m + rules_.drop_m) +
                           rules_.least_floor_m;
    const auto wide = [&](std::size_t k) {
      const StripProfile& profile = seen(k);
      if (profile.blocked || profile.walk_at_curb) return false;
      if (!profile.strip_m) return true;
      const bool enough = *profile.strip_m >= least_m + (profile.walk ? rules_.shelf_m : 0.0) - 1e-9;
      if (enough && (!fit.there.strip_m || *profile.strip_m < *fit.there.strip_m)) {
        fit.there.strip_m = profile.strip_m;
      }
      return enough;
    };
    if (!wide(i)) return std::nullopt;
    fit.there.walk = seen(i).walk || !seen(i).strip_m;
    fit.there.free_m = free_m(i, wide);
    fit.answer = fit_room(asked_, fit.there, rules_);
    if (!fit.answer.basin) return std::nullopt;
    fit.setback_m = fit.answer.basin->setback_m;
    fit.words = room_words(asked_, fit.there, fit.answer, street::TapeUnit::Metre);
    if (!fit.answer.width_known) add(fit, "no layer says how wide the strip is");
    return fit;
  }

  std::optional<Fit> behind_walk(std::size_t i) {
    if (!seen(i).walk_at_curb || seen(i).blocked) return std::nullopt;
    Fit fit;
    fit.place = CandidatePlace::BehindWalk;
    double walk_to_m = seen(i).walk_to_m;
    fit.there.walk = false;
    fit.there.strip_m = seen(i).behind_m;
    fit.on_lot = seen(i).behind_on_lot;
    fit.there.free_m = free_m(i, [&](std::size_t k) {
      const StripProfile& profile = seen(k);
      if (!profile.walk_at_curb || profile.blocked) return false;
      walk_to_m = std::max(walk_to_m, profile.walk_to_m);
      fit.on_lot = fit.on_lot || profile.behind_on_lot;
      if (profile.behind_m && (!fit.there.strip_m || *profile.behind_m < *fit.there.strip_m)) {
        fit.there.strip_m = profile.behind_m;
      }
      return true;
    });
    RoomRules rules = rules_;
    rules.back_of_curb_m = rules_.shelf_m;  // here the walk is what a basin keeps off
    fit.answer = fit_room(asked_, fit.there, rules);
    if (!fit.answer.basin) return std::nullopt;
    fit.setback_m = walk_to_m + fit.answer.basin->setback_m;
    fit.channel_m = walk_to_m + rules_.shelf_m;
    const ChannelThere channel{.length_m = fit.channel_m,
                               .curb_height_m = row_->places[i].curb_height_m,
                               .ponding_m = fit.answer.basin->ponding_m};
    if (!fit_channel(channel, channel_).fits()) return std::nullopt;
    fit.words = room_words(asked_, fit.there, fit.answer, street::TapeUnit::Metre);
    add(fit, fmt::format("covered channel of {:.2f} m under the walk", fit.channel_m));
    if (fit.on_lot) add(fit, "on a lot: its owner decides");
    return fit;
  }

  std::optional<Fit> in_lane(std::size_t i) {
    if (!parks(i)) return std::nullopt;
    Fit fit;
    fit.place = CandidatePlace::Bulb;
    const auto lane_m = [&](std::size_t k) {
      return seen(k).parking_m ? seen(k).parking_m : settings_.candidates.parking_lane_m;
    };
    fit.there.strip_m = lane_m(i);
    fit.there.free_m = free_m(i, [&](std::size_t k) {
      const std::optional<double> here = lane_m(k);
      if (here && *here < *fit.there.strip_m) fit.there.strip_m = here;
      return here.has_value();
    });
    RoomRules rules = rules_;
    rules.shelf_m = rules_.back_of_curb_m;  // curbs on both sides
    fit.answer = fit_room(asked_, fit.there, rules);
    if (!fit.answer.basin) return std::nullopt;
    fit.setback_m = -(fit.answer.basin->setback_m + fit.answer.basin->width_m);
    fit.words = room_words(asked_, fit.there, fit.answer, street::TapeUnit::Metre);
    add(fit, "takes parking; the new curb around it is in no cost");
    return fit;
  }

  static void add(Fit& fit, const std::string& words) {
    fit.words += (fit.words.empty() ? "" : "; ") + words;
  }

  /// All corners of the rim, and a cell beyond.
  bool ground_known(const CandidateSpot& spot) const {
    const terrain::Ground& ground = in_.inputs->ground;
    const double more_m = rules_.side_slope * rules_.drop_m + ground.frame.cell_m;
    const double half_m = 0.5 * spot.basin.length_m + more_m;
    for (const double along_m : {-half_m, 0.0, half_m}) {
      for (const double away_m : {spot.setback_m - more_m, spot.setback_m + spot.basin.width_m + more_m}) {
        const Point p{spot.at.x_m + along_m * spot.to_street.y_m - away_m * spot.to_street.x_m,
                      spot.at.y_m - along_m * spot.to_street.x_m - away_m * spot.to_street.y_m};
        const std::int64_t cell = ground.frame.cell_at(p);
        if (cell < 0 || ground.valid[cell] == 0) return false;
      }
    }
    return true;
  }

  const CandidateInputs& in_;
  const study::Settings& settings_;
  RoomAsked asked_;
  RoomRules rules_;
  ChannelRules channel_;
  StripLook look_;
  std::vector<CurbRow> rows_;
  const CurbRow* row_ = nullptr;
  std::vector<std::optional<StripProfile>> seen_;
  std::set<std::int64_t> taken_;
};

}  // namespace

RoomRules room_rules(const study::Settings& settings) {
  const study::RoomSettings& room = settings.room;
  return {.side_slope = settings.basin.side_slope,
          .drop_m = room.drop_m,
          .least_floor_m = room.least_floor_m,
          .back_of_curb_m = room.back_of_curb_m,
          .step_out_m = room.step_out_m,
          .shelf_m = room.shelf_m,
          .least_ponding_m = room.least_ponding_m,
          .least_length_m = room.least_length_m};
}

ChannelRules channel_rules(const study::Settings& settings) {
  const study::RoomSettings& room = settings.room;
  return {.height_m = room.channel_height_m,
          .cover_m = room.channel_cover_m,
          .fall = room.channel_fall,
          .most_length_m = room.channel_longest_m};
}

MaterialRules material_rules(const study::Settings& settings) {
  const study::RoomSettings& room = settings.room;
  return {.bulking = room.bulking,
          .stone_length_m = room.stone_length_m,
          .stone_depth_m = room.stone_depth_m,
          .plant_spacing_m = room.plant_spacing_m};
}

Prices prices_of(const study::MoneySettings& money) {
  const bool us = money.per == "us";
  const auto by = [&](const std::optional<double>& price, double size) {
    return price && us ? std::optional<double>(*price / size) : price;
  };
  return {by(money.soil, kCubicYard_m3),      by(money.stone, kCubicYard_m3),
          by(money.mulch, kCubicYard_m3),     money.plant,
          by(money.curb_cut, kFoot_m),        by(money.channel, kFoot_m),
          by(money.pavement, kSquareFoot_m2), money.site};
}

RoomAsked asked_basin(const study::Settings& settings) {
  return {settings.basin.length_m, settings.basin.width_m, settings.basin.ponding_m};
}

std::string_view place_word(CandidatePlace place) {
  switch (place) {
    case CandidatePlace::Strip:
      return "strip";
    case CandidatePlace::BehindWalk:
      return "behind_walk";
    case CandidatePlace::Bulb:
      break;
  }
  return "bulb";
}

std::string_view why_word(WhyNone why) {
  static constexpr std::array<std::string_view, kWhyNone> kWords = {"near your own cuts",
                                                                    "near a corner",
                                                                    "at a driveway, ramp or end of a curb",
                                                                    "near an inlet or basin",
                                                                    "no curb to cut",
                                                                    "ground unknown",
                                                                    "in a bend",
                                                                    "no room"};
  return kWords[static_cast<std::size_t>(why)];
}

CandidatePlaces find_candidates(const CandidateInputs& inputs, const study::Settings& settings) {
  base::ensure(inputs.inputs != nullptr && inputs.curbs != nullptr && inputs.beside != nullptr,
               "candidates need inputs, curbs and what lies beside them");
  return Finder(inputs, settings).find();
}

street::Site site_of(const CandidateSpot& spot) {
  street::Site site;
  site.kind = street::SiteKind::Cut;
  site.at = spot.at;
  site.source = "candidates";
  return site;
}

study::SiteOverrides overrides_of(const CandidateSpot& spot) {
  study::SiteOverrides out;
  out.basin_length_m = spot.basin.length_m;
  out.basin_width_m = spot.basin.width_m;
  out.ponding_m = spot.basin.ponding_m;
  out.setback_m = spot.setback_m;
  out.mouth_at = 0.5;
  out.only_looked_at = true;
  return out;
}

DugBasin dug_basin(const CandidateSpot& spot, const study::Settings& settings) {
  return {.length_m = spot.basin.length_m,
          .width_m = spot.basin.width_m,
          .side_slope = settings.basin.side_slope,
          .ponding_m = spot.basin.ponding_m,
          .drop_m = settings.room.drop_m,
          .mulch_m = settings.room.mulch_m,
          .ground_above_water_m = spot.place == CandidatePlace::Bulb ? 0.0 : spot.curb_height_m};
}

WorkBesides work_besides(const CandidateSpot& spot, const study::Settings& settings) {
  const DugBasin basin = dug_basin(spot, settings);
  return {.opening_m = settings.basin.opening_m,
          .channel_m = spot.channel_m,
          .pavement_m2 = spot.place == CandidatePlace::Bulb ? figures_of(basin).rim_m2 : 0.0};
}

}  // namespace curbshed::siting
