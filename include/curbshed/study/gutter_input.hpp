// What kind of gutter runs past a place: from its curb, its centreline, or the study.
#pragma once

#include "curbshed/study/chain_model.hpp"
#include "curbshed/study/settings.hpp"

#include <optional>
#include <string>
#include <string_view>

namespace curbshed::study {

/// Section of a gutter as a curb or a centreline says it; absent = the study's value.
struct GutterInput {
  std::optional<water::GutterForm> form;
  std::optional<double> width_m, depression_m, crown_height_m, half_width_m;
  bool says_anything() const { return form || width_m || depression_m || crown_height_m || half_width_m; }
};

/// straight | depressed | parabolic; nothing for other words.
std::optional<water::GutterForm> gutter_form_of(std::string_view word);
std::string_view word(water::GutterForm form);

struct GutterPlace {
  double cross_slope = 0.02;
  std::optional<double> street_width_m = {};  ///< curb to curb
  std::string file = {};                      ///< the study's, for messages
  std::string id = {};                        ///< the place's, for messages
};
/// A parabola without a crown height is the one whose slope 1.5 m from the curb, the middle of the strip to
/// which cross slopes are fitted (half way to the crown in narrow streets), is the cross slope: H = Sx B / (2
/// (1 − x/B)). Its half width: told, else half of the street. Errors (InputError): a dip without its
/// measures, a parabola whose half width nobody tells.
SectionParams section_of(const GutterInput& own, const GutterSettings& usual, const GutterPlace& place);

}  // namespace curbshed::study
