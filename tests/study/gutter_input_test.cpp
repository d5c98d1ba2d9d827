#include "curbshed/study/gutter_input.hpp"

#include "curbshed/base/error.hpp"

#include <gtest/gtest.h>

namespace curbshed::study {
namespace {

using water::GutterForm;

TEST(GutterInput, WordsComeBack) {
  for (const GutterForm form : {GutterForm::Straight, GutterForm::Depressed, GutterForm::Parabolic}) {
    EXPECT_EQ(gutter_form_of(word(form)), form);
  }
  EXPECT_FALSE(gutter_form_of("vee"));
}

TEST(GutterInput, WhatTheCurbSaysCountsBeforeTheStudy) {
  GutterSettings usual;
  EXPECT_EQ(section_of({}, usual, {}).form, GutterForm::Straight);
  usual.section = "depressed";
  usual.width_m = 0.6;
  usual.depression_m = 0.05;
  EXPECT_EQ(section_of({}, usual, {}).drop_m, 0.05);
  GutterInput own;
  own.depression_m = 0.03;
  EXPECT_EQ(section_of(own, usual, {}).drop_m, 0.03);
  EXPECT_EQ(section_of(own, usual, {}).width_m, 0.6);
  own.form = GutterForm::Straight;
  EXPECT_EQ(section_of(own, usual, {}).form, GutterForm::Straight);
}

TEST(GutterInput, AParabolaTakesItsWidthFromTheStreetAndItsHeightFromTheCrossSlope) {
  GutterSettings usual;
  usual.section = "parabolic";
  const SectionParams section =
      section_of({}, usual, {.cross_slope = 0.02, .street_width_m = 10.0, .file = "", .id = ""});
  EXPECT_EQ(section.width_m, 5.0);
  // Its slope 1.5 m from the curb is the cross slope: 2 H/B (1 - x/B).
  EXPECT_NEAR(2.0 * section.drop_m / 5.0 * (1.0 - 1.5 / 5.0), 0.02, 1e-12);
  usual.crown_height_m = 0.12;
  EXPECT_EQ(section_of({}, usual, {.cross_slope = 0.02, .street_width_m = 10.0, .file = "", .id = ""}).drop_m,
            0.12);
}

TEST(GutterInput, WhatCannotBeMeasuredIsRefused) {
  GutterSettings usual;
  GutterInput own;
  own.form = GutterForm::Depressed;
  EXPECT_THROW(section_of(own, usual, {}), base::InputError);
  own.form = GutterForm::Parabolic;
  EXPECT_THROW(section_of(own, usual, {}), base::InputError);
}

}  // namespace
}  // namespace curbshed::study
