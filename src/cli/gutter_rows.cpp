#include "curbshed/cli/gutter_rows.hpp"

#include "curbshed/base/names.hpp"

#include <limits>

#include <fmt/format.h>

namespace curbshed::cli {

using base::InputError;

study::GutterInput gutter_of(const StudyLayer& layer, std::size_t row) {
  study::GutterInput gutter;
  const std::string section = layer.text(row, "gutter_section");
  if (!section.empty()) {
    gutter.form = study::gutter_form_of(section);
    if (!gutter.form) {
      throw InputError({}, fmt::format("the gutter section \"{}\" is not one of ours", section), "", "");
    }
  }
  gutter.width_m = layer.measure(row, "gutter_width");
  gutter.depression_m = layer.measure(row, "gutter_depression");
  gutter.crown_height_m = layer.measure(row, "crown_height");
  gutter.half_width_m = layer.measure(row, "half_width");
  return gutter;
}

std::vector<StreetGutter> street_gutters(const StudyLayer& layer) {
  std::vector<StreetGutter> all;
  for (std::size_t row = 0; row < layer.rows(); ++row) {
    try {
      const study::GutterInput gutter = gutter_of(layer, row);
      if (!gutter.says_anything()) continue;
      for (const base::Polyline& line : layer.shape(row).lines) {
        all.push_back({layer.id(row), base::plain_name(layer.text(row, "street")), line, gutter});
      }
    } catch (const InputError&) {
      continue;
    }
  }
  return all;
}

void take_street_gutters(const std::vector<StreetGutter>& streets,
                         const std::vector<terrain::CurbLine>& curbs,
                         std::vector<study::GutterInput>& gutters) {
  for (std::size_t i = 0; i < curbs.size(); ++i) {
    if (curbs[i].line.empty()) continue;
    const base::Point middle = base::point_along(curbs[i].line, 0.5 * base::length_m(curbs[i].line));
    const std::string street = base::plain_name(curbs[i].street);
    const StreetGutter* best = nullptr;
    double best_m = std::numeric_limits<double>::infinity();
    for (const StreetGutter& one : streets) {
      if (one.street != street || one.line.size() < 2) continue;
      const double off_m = base::distance_m(base::nearest_place(one.line, middle).at, middle);
      if (off_m < best_m || (off_m == best_m && one.id < best->id)) {
        best_m = off_m;
        best = &one;
      }
    }
    if (best == nullptr) continue;
    const study::GutterInput& from = best->gutter;
    study::GutterInput& to = gutters[i];
    const auto take = [](auto& mine, const auto& theirs) {
      if (!mine) mine = theirs;
    };
    take(to.form, from.form);
    take(to.width_m, from.width_m);
    take(to.depression_m, from.depression_m);
    take(to.crown_height_m, from.crown_height_m);
    take(to.half_width_m, from.half_width_m);
  }
}

}  // namespace curbshed::cli
