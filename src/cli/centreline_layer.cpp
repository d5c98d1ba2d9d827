#include "curbshed/cli/centreline_layer.hpp"

#include "curbshed/cli/gutter_rows.hpp"

#include <algorithm>
#include <iterator>
#include <set>

#include <fmt/format.h>

namespace curbshed::cli {
namespace {

using base::InputError;
using street::StreetClass;

/// A word of ours as its value; `fallback` when empty. InputError for other words.
template <class Value, std::size_t N>
Value word_of(const std::pair<std::string_view, Value> (&words)[N], const std::string& word,
              std::string_view what) {
  const auto known =
      std::find_if(std::begin(words), std::end(words), [&](const auto& one) { return one.first == word; });
  if (known == std::end(words)) {
    throw InputError({}, fmt::format("the {} \"{}\" is not one of ours", what, word), "", "");
  }
  return known->second;
}

StreetClass class_of(const std::string& word) {
  static constexpr std::pair<std::string_view, StreetClass> kWords[] = {
      {"alley", StreetClass::Alley},
      {"residential", StreetClass::Residential},
      {"collector", StreetClass::Collector},
      {"arterial", StreetClass::Arterial},
      {"cul_de_sac", StreetClass::CulDeSac}};
  return word_of(kWords, word, "class");
}

terrain::CurbKind kind_of(const std::string& word) {
  using terrain::CurbKind;
  static constexpr std::pair<std::string_view, CurbKind> kWords[] = {{"vertical", CurbKind::Vertical},
                                                                     {"rolled", CurbKind::Rolled},
                                                                     {"flush", CurbKind::Flush},
                                                                     {"none", CurbKind::None}};
  return word_of(kWords, word, "kind of curb");
}

}  // namespace

street::CentrelineSettings centreline_settings(const study::Settings& settings) {
  const study::StreetSettings& street = settings.street;
  street::CentrelineSettings out;
  out.class_width_m = {street.alley_width_m, street.residential_width_m, street.collector_width_m,
                       street.arterial_width_m, street.residential_width_m};
  out.return_radius_m = street.return_radius_m;
  out.bulb_radius_m = street.bulb_radius_m;
  out.section_spacing_m = street.section_spacing_m;
  out.section_reach_m = street.section_reach_m;
  out.vertical_height_m = street.curb_height_m;
  out.elevation_error_m = settings.ground.elevation_error_m;
  out.error_range_m = settings.ground.error_range_m;
  return out;
}

std::vector<street::Centreline> centrelines_of(StudyLayer& layer, const study::Settings& settings) {
  std::vector<street::Centreline> lines;
  for (std::size_t row = 0; row < layer.rows(); ++row) {
    try {
      street::Centreline one;
      one.id = layer.id(row);
      one.street = layer.text(row, "street");
      const std::string own_class = layer.text(row, "class");
      one.street_class = class_of(own_class.empty() ? settings.street.default_class : own_class);
      one.width_m = layer.measure(row, "width");
      gutter_of(layer, row);  // its refusals
      const std::string kind = layer.text(row, "kind");
      if (!kind.empty()) {
        one.kind = kind_of(kind);
      }
      for (const base::Polyline& part : layer.shape(row).lines) {
        lines.push_back(one);
        lines.back().line = part;
      }
    } catch (const InputError& error) {
      layer.set_aside(row, error.met());
    }
  }
  return lines;
}

void set_unused_aside(const street::StreetCurbs& found, StudyLayer& layer) {
  std::set<std::string> used;
  for (const street::StreetBlock& block : found.blocks) {
    used.insert(block.lines.begin(), block.lines.end());
  }
  for (const street::UnusedLine& line : found.unused) {
    if (used.insert(line.id).second) {
      layer.set_aside(line.id, line.reason);
    }
  }
}

void note_streets(const street::StreetCurbs& found, base::Notes& notes) {
  for (const street::StreetBlock& block : found.blocks) {
    if (block.width_from == street::WidthFrom::Class) {
      notes.add(base::NoteId::StreetWidthAssumed, block.width_m, block.street);
    }
  }
  for (std::size_t i = 0; i < found.curbs.size(); ++i) {
    if (!found.facts[i].water_runs_along) {
      notes.add(base::NoteId::WaterNotAlongCurb, 0.0, found.curbs[i].id);
    }
  }
}

}  // namespace curbshed::cli
