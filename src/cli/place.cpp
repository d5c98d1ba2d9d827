#include "curbshed/cli/place.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace curbshed::cli {
namespace {

using base::Box;

constexpr double kFirstGrowth_m = 50.0;
constexpr std::array<std::uint8_t, kSides> kBits = {street::kCutNorth, street::kCutEast, street::kCutSouth,
                                                    street::kCutWest};
constexpr std::array<const char*, kSides> kNames = {"north", "east", "south", "west"};

Box widened(const Box& box, const std::array<double, kSides>& by_m) {
  return {.min_x_m = box.min_x_m - by_m[static_cast<std::size_t>(Side::West)],
          .min_y_m = box.min_y_m - by_m[static_cast<std::size_t>(Side::South)],
          .max_x_m = box.max_x_m + by_m[static_cast<std::size_t>(Side::East)],
          .max_y_m = box.max_y_m + by_m[static_cast<std::size_t>(Side::North)]};
}

/// How far the elevation model reaches beyond the box on each side.
std::array<double, kSides> room_beyond_m(const Box& ground, const Box& box) {
  return {ground.max_y_m - box.max_y_m, ground.max_x_m - box.max_x_m, box.min_y_m - ground.min_y_m,
          box.min_x_m - ground.min_x_m};
}

/// Sides over which water comes in to a cut, or to what lies above one.
std::uint8_t cut_sides(const street::Network& network) {
  std::uint8_t sides = 0;
  for (std::size_t n = 0; n < network.size(); ++n) {
    if (network.kind[n] == street::NodeKind::Cut) {
      sides = static_cast<std::uint8_t>(sides | network.edge_cuts_area[n] | network.edge_cuts_above[n]);
    }
  }
  return sides;
}

double cells_of(const Box& box, const Box& ground, double cell_m) {
  const double wide = std::min(box.max_x_m, ground.max_x_m) - std::max(box.min_x_m, ground.min_x_m);
  const double high = std::min(box.max_y_m, ground.max_y_m) - std::max(box.min_y_m, ground.min_y_m);
  return std::max(wide, 0.0) / cell_m * (std::max(high, 0.0) / cell_m);
}

/// Moves out the sides that need it. False when none can.
bool grow(std::uint8_t sides, double limit_m, const geodata::GroundExtent& extent, std::int64_t memory_bytes,
          Place& place) {
  const Box ground = extent.box();
  const std::array<double, kSides> room = room_beyond_m(ground, widened(place.with_margin, place.grown_m));
  std::array<double, kSides> next = place.grown_m;
  bool any = false;
  for (std::size_t side = 0; side < kSides; ++side) {
    if ((sides & kBits[side]) == 0 || !(room[side] > 0.0)) {
      continue;
    }
    const double wanted = next[side] > 0.0 ? 2.0 * next[side] : kFirstGrowth_m;
    next[side] = std::min(wanted, limit_m);
    any = any || next[side] > place.grown_m[side];
  }
  if (!any) {
    return false;
  }
  const std::int64_t memory = memory_bytes > 0 ? memory_bytes : geodata::machine_memory_bytes();
  const double need = static_cast<double>(kBytesBesides) +
                      cells_of(widened(place.with_margin, next), ground, extent.frame.cell_m) *
                          static_cast<double>(kBytesACell);
  if (need > static_cast<double>(memory)) {
    place.memory_stopped = true;
    return false;
  }
  place.grown_m = next;
  ++place.rounds;
  return true;
}

void note_growth(const Place& place, PreparedStudy& study) {
  base::Notes& notes = study.preparation.model.notes;
  for (std::size_t side = 0; side < kSides; ++side) {
    if (place.grown_m[side] > 0.0) {
      notes.add(base::NoteId::PlaceGrown, place.grown_m[side], kNames[side]);
    }
  }
  const street::Network& network = study.preparation.model.network;
  for (std::size_t n = 0; n < network.size(); ++n) {
    const int sides = network.edge_cuts_area[n] | network.edge_cuts_above[n];
    if (network.kind[n] == street::NodeKind::Cut && (sides & ~int{street::kCutInside}) != 0) {
      notes.add(base::NoteId::PlaceStillCut, 0.0, network.id[n]);
    }
  }
}

void note_placeholders(const study::Settings& settings, base::Notes& notes) {
  for (const std::string& key : study::assumed_keys(settings)) {
    notes.add(base::NoteId::ValuePlaceholder, 0.0, key);
  }
}

siting::CandidateModel candidates_of(const study::Settings& settings, const std::optional<Box>& within,
                                     const PrepareOptions& wanted, const terrain::WorkPlan& plan,
                                     PreparedStudy& study) {
  if (wanted.looking) wanted.looking();
  siting::CandidateModel model = siting::candidate_model(study.gathered.inputs, study.gathered.beside,
                                                         settings, within, plan, {}, wanted.candidates_by);
  study.gathered.beside = {};
  return model;
}

}  // namespace

Place read_place(const study::Settings& settings, const geodata::Projection& projection) {
  Place place;
  place.given = settings.place.given();
  if (!place.given) {
    return place;
  }
  if (settings.place.area.given()) {
    const StudyLayer layer(settings, "place.area", projection, {}, true);
    for (std::size_t row = 0; row < layer.rows(); ++row) {
      const Box own = base::box_of(layer.shape(row));
      place.asked.add({own.min_x_m, own.min_y_m});
      place.asked.add({own.max_x_m, own.max_y_m});
    }
  } else {
    const study::PlaceSettings& sides = settings.place;
    const Box box{
        .min_x_m = *sides.west, .min_y_m = *sides.south, .max_x_m = *sides.east, .max_y_m = *sides.north};
    place.asked = geodata::box_in_metres(box, sides.crs, projection, {settings.file, "[place]", "crs"});
  }
  const double margin_m = settings.place.margin_m;
  place.with_margin = widened(place.asked, {margin_m, margin_m, margin_m, margin_m});
  return place;
}

PreparedStudy prepare_study(const study::Settings& settings, const PrepareOptions& wanted,
                            const terrain::WorkPlan& plan) {
  PreparedStudy study;
  GatherOptions options;
  options.strict = wanted.strict;
  options.memory_limit_bytes = wanted.memory_bytes;
  options.workers = {plan.threads};
  std::optional<geodata::GroundExtent> extent;
  if (settings.place.given()) {
    extent = geodata::ground_extent(path_in_study(settings, settings.ground.elevation));
    study.place = read_place(settings, extent->projection);
    options.place = study.place.with_margin;
  }
  for (;;) {
    if (extent) {
      options.window = widened(study.place.with_margin, study.place.grown_m);
    }
    study.gathered = {};  // the round before need not be held beside this one
    study.preparation = {};
    study.gathered = gather_inputs(settings, options);
    // Before the run's own network: while this works, no raster of the other is held.
    if (settings.candidates.on && !extent)
      study.candidates = candidates_of(settings, std::nullopt, wanted, plan, study);
    const base::Progress progress = wanted.gathered ? wanted.gathered(study.gathered) : base::Progress{};
    study.preparation = study::prepare(study.gathered.inputs, settings, plan, progress);
    if (!extent || !grow(cut_sides(study.preparation.model.network), settings.place.grow_limit_m, *extent,
                         wanted.memory_bytes, study.place)) {
      break;
    }
  }
  if (extent) {
    if (settings.candidates.on) {
      study.candidates = candidates_of(settings, study.place.with_margin, wanted, plan, study);
    }
    note_growth(study.place, study);
  }
  note_placeholders(settings, study.preparation.model.notes);
  return study;
}

std::string place_words(const Place& place) {
  const Box& asked = place.asked;
  std::string words = fmt::format("{:.0f} m × {:.0f} m and {:.0f} m around it", asked.max_x_m - asked.min_x_m,
                                  asked.max_y_m - asked.min_y_m, asked.min_x_m - place.with_margin.min_x_m);
  std::string grown;
  for (std::size_t side = 0; side < kSides; ++side) {
    if (place.grown_m[side] > 0.0) {
      grown +=
          fmt::format("{}{:.0f} m to the {}", grown.empty() ? "" : ", ", place.grown_m[side], kNames[side]);
    }
  }
  words += grown.empty() ? "; no side had to be moved out for the water of the cuts"
                         : fmt::format("; moved out for the water of the cuts: {}", grown);
  return words + (place.memory_stopped ? "; more would not fit into the memory" : "");
}

}  // namespace curbshed::cli
