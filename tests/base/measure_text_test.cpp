#include "curbshed/base/measure_text.hpp"

#include "curbshed/base/error.hpp"

#include <gtest/gtest.h>

namespace curbshed::base {
namespace {

using enum Dimension;

TEST(MeasureText, ReadsNumbersAsPeopleWriteThem) {
  EXPECT_DOUBLE_EQ(parse_measure("18 in", Length), 0.4572);
  EXPECT_DOUBLE_EQ(parse_measure("  18in ", Length), 0.4572);
  EXPECT_DOUBLE_EQ(parse_measure("-2.5 ft", Length), -0.762);
  EXPECT_DOUBLE_EQ(parse_measure("\u22122.5 ft", Length), -0.762);
  EXPECT_DOUBLE_EQ(parse_measure("+.5 m", Length), 0.5);
  EXPECT_DOUBLE_EQ(parse_measure("3937 usft", Length), 1200.0);
  EXPECT_DOUBLE_EQ(parse_measure("1.8ft3/s", Flow), 1.8 * kCubicMetresPerCubicFoot);
  EXPECT_DOUBLE_EQ(parse_measure("60 gal/min", Flow), kCubicMetresPerGallon);
  EXPECT_DOUBLE_EQ(parse_measure("2in/h", Rate) * 1000 * 3600, 50.8);
  EXPECT_DOUBLE_EQ(parse_measure("7 \u00B5m/s", Rate), 7e-6);
  EXPECT_DOUBLE_EQ(parse_measure("12 m\u00B2", Area), 12.0);
  EXPECT_DOUBLE_EQ(parse_measure("1 d", Duration), 86400.0);
  EXPECT_DOUBLE_EQ(parse_measure("1e2 L", Volume), 0.1);
}

TEST(MeasureText, SharesMayBeWrittenAsPercent) {
  EXPECT_DOUBLE_EQ(parse_measure("2 %", Slope), 0.02);
  EXPECT_DOUBLE_EQ(parse_measure("0.02", Slope), 0.02);
  EXPECT_DOUBLE_EQ(parse_measure("50%", Plain), 0.5);
  EXPECT_DOUBLE_EQ(parse_measure("98", Plain), 98.0);
}

TEST(MeasureText, RefusesWhatIsNotOneNumberWithItsUnit) {
  for (const char* text : {"", " ", "m", "in", "nan m", "inf m", "18", "18 furlong", "1,5 m", "1.5.2 m",
                           "1 m 2", "- m", "1e999 m", "--1 m", "0x10 m", "1e m", "1 M", "5 ft3/s", "5 %"}) {
    EXPECT_THROW(parse_measure(text, Length), InputError) << text;
  }
  EXPECT_THROW(parse_measure("5 m", Slope), InputError);
  EXPECT_THROW(parse_measure("5 m", Plain), InputError);
}

TEST(MeasureText, SaysWhatIsAllowed) {
  try {
    parse_measure("18 furlong", Length);
    FAIL();
  } catch (const InputError& e) {
    EXPECT_STREQ(e.what(),
                 "\"18 furlong\" has a unit that does not fit here. Allowed: a number with one of these "
                 "units: m, cm, mm, "
                 "ft, usft, in. Do: write the number with its unit, as \"2 m\".");
  }
}

TEST(MeasureText, ListsAndFactorsOfUnits) {
  EXPECT_EQ(units_of(Length), "m, cm, mm, ft, usft, in");
  EXPECT_EQ(units_of(Flow), "m3/s, L/s, ft3/s, gal/min, m3/day, L/day, gal/day");
  EXPECT_DOUBLE_EQ(unit_factor("in", Length), 0.0254);
  EXPECT_THROW(unit_factor("ac", Length), InputError);
}

TEST(MeasureText, FeetMayHaveInchesAfterThem) {
  EXPECT_DOUBLE_EQ(parse_measure("62 ft 4 in", Dimension::Length), 62.0 * 0.3048 + 4.0 * 0.0254);
  EXPECT_DOUBLE_EQ(parse_measure("62ft 4.5in", Dimension::Length), 62.0 * 0.3048 + 4.5 * 0.0254);
  EXPECT_DOUBLE_EQ(parse_measure("-1 ft 3 in", Dimension::Length), -1.25 * 0.3048);
  EXPECT_DOUBLE_EQ(parse_measure("40 in", Dimension::Length), 40.0 * 0.0254);
  for (const char* broken : {"62 ft 14 in", "62 ft -4 in", "ft 4 in", "62 ft in", "62 ft 4 in 3"})
    EXPECT_THROW(parse_measure(broken, Dimension::Length), InputError) << broken;
  EXPECT_THROW(parse_measure("2 ft 4 in", Dimension::Area), InputError);
}

}  // namespace
}  // namespace curbshed::base
