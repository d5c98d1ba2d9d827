#include "curbshed/report/sentences.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace curbshed::report {

using study::StormComparison;

namespace {

std::size_t at(std::int32_t node) { return static_cast<std::size_t>(node); }

std::string ends_words(const RunFacts& facts, const StormSums& sums) {
  if (sums.ends.size() == 1) {
    return node_words(facts, sums.ends.front());
  }
  return fmt::format("the {} places where the street's water leaves, taken together", sums.ends.size());
}

/// "2-year hour: 22 mm in 1 h" → "2-year".
std::string short_name(const study::Storm& storm) {
  std::string name = storm.title.substr(0, storm.title.find(':'));
  for (const std::string_view ending : {" hour", " storm"}) {
    if (name.size() > ending.size() &&
        name.compare(name.size() - ending.size(), ending.size(), ending) == 0) {
      name.resize(name.size() - ending.size());
    }
  }
  return name;
}

}  // namespace

std::string storm_words(const study::Storm& storm, Units units) {
  const std::string name = storm.title.substr(0, storm.title.find(':'));
  const std::string rain = show_rain(storm.depth_m(), units);
  const bool ours = storm.id == "common" || storm.id == "two_year" || storm.id == "ten_year";
  if (ours) {
    return fmt::format("the {} ({} of rain)", name, rain);
  }
  return name == storm.title ? fmt::format("the storm {} ({} of rain)", storm.id, rain)
                             : fmt::format("the storm \"{}\" ({} of rain)", name, rain);
}

const StormComparison* find_storm(const RunFacts& facts, std::string_view id) {
  for (const StormComparison& storm : *facts.storms) {
    if (storm.storm.id == id) {
      return &storm;
    }
  }
  return nullptr;
}

std::string taken_sentence(const RunFacts& facts, const StormComparison& storm, std::size_t cuts,
                           Units units) {
  const StormSums sums = sums_of(facts, storm);
  const std::string who = cuts == 1 ? "the basin takes" : fmt::format("the {} basins take", cuts);
  if (sums.reaching_m3 <= 0.0) {
    return fmt::format("In {}, no street runoff comes to the cuts.", storm_words(storm.storm, units));
  }
  std::string text =
      fmt::format("In {}, {} {} of the {} of street runoff that comes by ({}).",
                  storm_words(storm.storm, units), who, show_volume(sums.taken_m3, units),
                  show_volume(sums.reaching_m3, units), show_share(sums.taken_m3 / sums.reaching_m3));
  if (sums.other_taken_m3) {
    text +=
        fmt::format(" Cuts so short lie outside the flume tests: by a second published relation it is {}.",
                    show_volume(*sums.other_taken_m3, units));
  }
  if (!storm.second.nodes.empty()) {
    text += fmt::format(" If the same rain comes again 12 hours later, they take {} then.",
                        show_volume(sums.second_taken_m3, units));
  }
  return text;
}

std::string peak_sentence(const RunFacts& facts, const StormComparison& storm, Units units) {
  const StormSums sums = sums_of(facts, storm);
  const PeakChange& peak = sums.downstream;
  const std::string size =
      fmt::format("{} → {}", show_flow(peak.before_m3_s, units), show_flow(peak.after_m3_s, units));
  const std::string lead = fmt::format("In {}, the peak at {}: {}", storm_words(storm.storm, units),
                                       ends_words(facts, sums), size);
  if (peak.useful()) {
    return fmt::format("{}, {} lower.", lead, show_share(-peak.change()));
  }
  if (peak.change() >= kUsefulChange) {
    return fmt::format("{}, {} higher.", lead, show_share(peak.change()));
  }
  return fmt::format("{}, no useful change in this storm.", lead);
}

std::string year_sentence(const RunFacts& facts, Units units) {
  const YearSums sums = year_sums(facts);
  const std::vector<street::NodeKind>& kinds = facts.preparation->model.network.kind;
  const auto cuts = std::count(kinds.begin(), kinds.end(), street::NodeKind::Cut);
  return fmt::format(
      "In a mean year with {} of rain {} {}; by a yearly balance with plant factor {:g} that carries at most "
      "{} of "
      "canopy (an upper bound).",
      show_rain(facts.year->rain_m, units),
      cuts == 1 ? std::string("the basin takes") : fmt::format("the {} basins take", cuts),
      show_volume(sums.water_m3, units), facts.settings->trees.plant_factor,
      show_area(sums.canopy_bound_m2, units));
}

std::string full_words(const RunFacts& facts, std::int32_t node) {
  std::string words;
  for (const StormComparison& storm : *facts.storms) {
    if (storm.with_cuts.nodes[at(node)].filled_before_peak) {
      words += words.empty() ? "" : ", ";
      words += short_name(storm.storm);
    }
  }
  return words.empty() ? "none" : words;
}

std::string outside_sentence(const RunFacts& facts) {
  std::string list;
  for (const InputFile& file : facts.files) {
    if (file.outside > 0)
      list += fmt::format("{}{} of {}", list.empty() ? "" : ", ", file.outside, file.role);
  }
  return list.empty() ? list : fmt::format("Outside the study's place, left out: {}.", list);
}

std::string leaving_words(const study::NodeResult& result) {
  const bool most = result.arriving_m3 > 0.001 && result.over_curb_m3 > 0.5 * result.arriving_m3;
  return most ? "most of it leaves over the crown or the curb above the cut" : std::string();
}

std::string placeholder_sentence(const RunFacts& facts) {
  const base::Notes notes = all_notes(facts);
  if (!notes.has(base::NoteId::ValuePlaceholder)) {
    return {};
  }
  const base::Notes::Entry& entry = notes.at(base::NoteId::ValuePlaceholder);
  return fmt::format(
      "These figures rest on {} of no place in the study, {} first: put your own in before you show them.",
      entry.count == 1 ? std::string("a placeholder") : fmt::format("{} placeholders", entry.count),
      entry.first_feature);
}

std::string year_assumption() {
  return "The mean year lets each wet day's rain fall in one hour on empty basins; depths of wet days are "
         "taken as "
         "exponential.";
}

}  // namespace curbshed::report
