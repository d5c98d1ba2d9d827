#include "curbshed/study/gutter_input.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace curbshed::study {

using water::GutterForm;

std::optional<GutterForm> gutter_form_of(std::string_view asked) {
  for (const GutterForm form : {GutterForm::Straight, GutterForm::Depressed, GutterForm::Parabolic}) {
    if (word(form) == asked) return form;
  }
  return std::nullopt;
}

std::string_view word(GutterForm form) {
  switch (form) {
    case GutterForm::Depressed:
      return "depressed";
    case GutterForm::Parabolic:
      return "parabolic";
    case GutterForm::Straight:
      break;
  }
  return "straight";
}

SectionParams section_of(const GutterInput& own, const GutterSettings& usual, const GutterPlace& place) {
  constexpr double kFitMiddle_m = 1.5;  // cross slopes are fitted to the first 3 m
  SectionParams out;
  out.form = own.form.value_or(gutter_form_of(usual.section).value_or(GutterForm::Straight));
  const base::Where where{place.file, "[gutter]", ""};
  if (out.form == GutterForm::Depressed) {
    const auto width = own.width_m ? own.width_m : usual.width_m;
    const auto drop = own.depression_m ? own.depression_m : usual.depression_m;
    if (!width || !drop) {
      throw base::InputError(
          where, fmt::format("the depressed gutter beside {} has no measures", place.id),
          "a width of the dip and its depression",
          "give them with the curb or centreline, or as gutter.width and gutter.depression");
    }
    out.width_m = *width;
    out.drop_m = *drop;
  } else if (out.form == GutterForm::Parabolic) {
    auto half = own.half_width_m ? own.half_width_m : usual.half_width_m;
    if (!half && place.street_width_m) half = 0.5 * *place.street_width_m;
    if (!half) {
      throw base::InputError(
          where, fmt::format("nobody tells how far the crown is from the curb beside {}", place.id),
          "a half width, or centrelines",
          "give half_width with the curb or centreline, or as gutter.half_width");
    }
    const auto crown = own.crown_height_m ? own.crown_height_m : usual.crown_height_m;
    const double middle = std::min(kFitMiddle_m / *half, 0.5);
    out.width_m = *half;
    out.drop_m = crown.value_or(place.cross_slope * *half / (2.0 * (1.0 - middle)));
  }
  return out;
}

}  // namespace curbshed::study
