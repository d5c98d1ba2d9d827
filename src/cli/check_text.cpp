#include "curbshed/cli/check_text.hpp"

#include "curbshed/cli/decisions.hpp"
#include "curbshed/cli/memory_size.hpp"
#include "curbshed/cli/street_text.hpp"
#include "curbshed/report/field_words.hpp"
#include "curbshed/report/sentences.hpp"
#include "curbshed/report/terminal.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace curbshed::cli {
namespace {

constexpr std::size_t kWidth = 100;
constexpr std::size_t kLabel = 20;

void add(std::string& page, std::string_view label, std::string_view text) {
  bool first = true;
  for (const std::string& line : report::wrapped(text, kWidth - kLabel)) {
    page += fmt::format("{}{}\n", report::padded(first ? label : std::string_view(), kLabel), line);
    first = false;
  }
}

/// The most frequent reason with its count and first feature.
std::string worst_reason(const GatheredInputs& gathered, const std::string& part) {
  const report::SetAsideFeature* worst = nullptr;
  std::ptrdiff_t most = 0;
  for (const report::SetAsideFeature& one : gathered.set_aside) {
    const auto times =
        std::count_if(gathered.set_aside.begin(), gathered.set_aside.end(),
                      [&](const auto& other) { return other.layer == part && other.reason == one.reason; });
    if (one.layer == part && times > most) {
      most = times;
      worst = &one;
    }
  }
  return worst == nullptr ? "" : fmt::format("{} × {} (first: {})", most, worst->reason, worst->id);
}

void add_ground(std::string& page, const GatheredInputs& gathered, const study::Settings& settings) {
  const terrain::GridFrame& frame = gathered.inputs.ground.frame;
  const geodata::GroundData& ground = gathered.ground;
  add(page, "elevation",
      fmt::format("{}: {} × {} cells of {:g} m ({:.0f} m × {:.0f} m), {:.2f} m to {:.2f} m high, {} cells "
                  "without height",
                  settings.ground.elevation, frame.cols, frame.rows, frame.cell_m,
                  static_cast<double>(frame.cols) * frame.cell_m,
                  static_cast<double>(frame.rows) * frame.cell_m, ground.lowest_m, ground.highest_m,
                  ground.cells_without_height));
  add(page, "reference system",
      fmt::format("{}{}, in {}", ground.projection.name,
                  ground.projection.code.empty() ? "" : fmt::format(" ({})", ground.projection.code),
                  ground.projection.unit));
  add(page, "height unit", fmt::format("{} ({})", ground.height_unit, ground.height_unit_evidence));
  add(page, "memory",
      fmt::format("at most about {}", memory_words(static_cast<double>(bytes_of_run(frame)))));
}

void add_places(std::string& page, const street::Network& network) {
  using street::NodeKind;
  const auto of = [&](NodeKind kind) { return std::count(network.kind.begin(), network.kind.end(), kind); };
  add(page, "places",
      fmt::format("cuts {}, {}drain inlets {}, sags {}, outfalls {}", of(NodeKind::Cut),
                  of(NodeKind::Basin) > 0 ? fmt::format("existing basins {}, ", of(NodeKind::Basin)) : "",
                  of(NodeKind::Inlet), of(NodeKind::Sag), of(NodeKind::Outfall)));
}

void add_list(std::string& page, std::string_view title, const std::vector<std::string>& items) {
  page += fmt::format("\n{}\n", title);
  for (const std::string& item : items) {
    std::string_view lead = "- ";
    for (const std::string& line : report::wrapped(item, kWidth - lead.size())) {
      page += fmt::format("{}{}\n", lead, line);
      lead = "  ";
    }
  }
}

void add_placeholders(std::string& page, const study::Settings& settings) {
  std::vector<std::string> items;
  for (const std::string& key : study::assumed_keys(settings)) {
    items.push_back(fmt::format("{} = \"{}\"", key, settings.written.at(key)));
  }
  if (!items.empty()) {
    add_list(page, "Placeholders: put your own values in and take the word assumed away:", items);
  }
}

}  // namespace

std::string check_text(const study::Settings& settings, const PreparedStudy& prepared,
                       const std::vector<study::Storm>& storms, report::Units units) {
  const GatheredInputs& gathered = prepared.gathered;
  const study::Preparation& preparation = prepared.preparation;
  std::string page;
  if (!settings.title.empty()) {
    add(page, "study", settings.title);
  }
  for (const std::string& sentence : report::dry_sentences(preparation.model, preparation.field, units)) {
    add(page, "", sentence);
  }
  add_ground(page, gathered, settings);
  if (prepared.place.given) {
    add(page, "place", place_words(prepared.place));
  }
  for (const report::InputFile& file : gathered.files) {
    if (file.features < 0) {
      continue;
    }
    std::string text =
        fmt::format("{}{}: {} feature{}", file.file, file.layer.empty() ? "" : ", " + file.layer,
                    file.features, file.features == 1 ? "" : "s");
    if (file.set_aside > 0) {
      text += fmt::format(", {} set aside: {}", file.set_aside, worst_reason(gathered, file.role));
    }
    const auto outside = gathered.outside.find(file.role);
    if (outside != gathered.outside.end()) {
      text += fmt::format(", {} more outside the place left out", outside->second);
    }
    add(page, file.role, text);
  }
  add_places(page, preparation.model.network);
  for (const CheckLine& line : street_lines(settings, gathered, preparation, units)) {
    add(page, line.label, line.text);
  }
  for (const study::Storm& storm : storms) {
    add(page, "storm", report::storm_words(storm, units));
  }
  page += "\nWhat was assumed or noticed:\n";
  for (const std::string& line : report::note_lines(preparation.model.notes)) {
    add(page, "", line);
  }
  add_placeholders(page, settings);
  const Decisions decisions = decisions_of(settings, gathered);
  add_list(page, "With these layers you can decide:", decisions.can);
  add_list(page, "You cannot decide yet:", decisions.cannot);
  return page + "\nThe study can be run. Nothing was written.\n";
}

}  // namespace curbshed::cli
