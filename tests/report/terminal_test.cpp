#include "curbshed/report/terminal.hpp"

#include "curbshed/report/cautions.hpp"

#include "support/small_facts.hpp"

#include <sstream>

#include <gtest/gtest.h>

namespace curbshed::report {
namespace {

using testing::SmallFacts;

bool has(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

/// Line ends become blanks, so that a sentence may be wrapped anywhere.
std::string one_line(std::string text) {
  for (char& c : text) {
    c = c == '\n' ? ' ' : c;
  }
  return text;
}

TEST(Terminal, FirstTheSentencesOfTheJob) {
  const SmallFacts run;
  const std::string text = one_line(terminal_text(run.facts, {}));
  EXPECT_TRUE(
      has(text,
          "In the common storm (10 mm of rain), the 2 basins take 2.0 m3 of the 5.0 m3 of street runoff that "
          "comes by (40 %). If the same rain comes again 12 hours later, they take 1.0 m3 then."))
      << text;
  EXPECT_TRUE(has(
      text, "In the 2-year hour (22 mm of rain), the peak at outfall end: 100 L/s → 80.0 L/s, 20 % lower."))
      << text;
}

TEST(Terminal, PlaceholdersAreSaidBesideTheFigures) {
  SmallFacts run;
  EXPECT_FALSE(has(terminal_text(run.facts, {}), "placeholder"));
  run.preparation.model.notes.add(base::NoteId::ValuePlaceholder, 0.0, "basin.infiltration");
  run.preparation.model.notes.add(base::NoteId::ValuePlaceholder, 0.0, "rain.two_year_1h");
  EXPECT_TRUE(has(one_line(terminal_text(run.facts, {})),
                  "These figures rest on 2 placeholders of no place in the study, basin.infiltration first"));
}

TEST(Terminal, NamesAsLongAsPlacesStandOnLinesOfTheirOwn) {
  SmallFacts run;
  run.preparation.model.network.id[SmallFacts::kK1] = "kiln-street-north-lantern-street-west-17";
  const std::string text = terminal_text(run.facts, {});
  EXPECT_TRUE(has(text, "\n  kiln-street-north-lantern-street-west-17\n")) << text;
}

TEST(Terminal, MeanYearIsASentenceThatSaysItIsABound) {
  SmallFacts run;
  const study::YearlyWater year = SmallFacts::year();
  run.facts.year = &year;
  EXPECT_TRUE(has(one_line(terminal_text(run.facts, {})),
                  "In a mean year with 200 mm of rain the 2 basins take 72.0 m3; by a yearly balance with "
                  "plant factor 0.5 "
                  "that carries at most 42 m2 of canopy (an upper bound)."))
      << terminal_text(run.facts, {});
}

TEST(Terminal, UnitsAreThePersonsOwn) {
  const SmallFacts run;
  TerminalStyle style;
  style.units = Units::Us;
  const std::string text = one_line(terminal_text(run.facts, style));
  EXPECT_TRUE(has(text, "In the common storm (0.39 in of rain), the 2 basins take 528 gal of the 1,321 gal"))
      << text;
  EXPECT_TRUE(has(text, "the peak at outfall end: 3.5 ft3/s → 2.8 ft3/s")) << text;
  EXPECT_TRUE(has(text, "  Kiln Street, north side, 78 ft 9 in from Lantern Street toward east end")) << text;
}

TEST(Terminal, LittleIsNoUsefulChange) {
  SmallFacts run;
  SmallFacts::set_leaving(run.storms[1].with_cuts, SmallFacts::kEnd, 0.099F);
  EXPECT_TRUE(has(one_line(terminal_text(run.facts, {})), "no useful change in this storm."));
}

TEST(Terminal, ARiseIsALineOfItsOwnAndRedOnATerminal) {
  SmallFacts run;
  SmallFacts::set_leaving(run.storms[1].with_cuts, SmallFacts::kK2, 0.12F);
  EXPECT_TRUE(
      has(terminal_text(run.facts, {}),
          "\nHIGHER: below cut K2 in the 2-year hour (22 mm of rain): 100 L/s → 120 L/s (+20.0 %).\n"));
  TerminalStyle colour;
  colour.colour = true;
  const std::string red = terminal_text(run.facts, colour);
  EXPECT_TRUE(has(red, "\033[31mHIGHER: below cut K2"));
  EXPECT_FALSE(has(terminal_text(run.facts, {}), "\033"));
}

TEST(Terminal, SmallRisesAreCountedInOneLine) {
  SmallFacts run;
  SmallFacts::set_leaving(run.storms[1].with_cuts, SmallFacts::kK1, 0.101F);
  SmallFacts::set_leaving(run.storms[1].with_cuts, SmallFacts::kK2, 0.101F);
  const std::string text = one_line(terminal_text(run.facts, {}));
  EXPECT_TRUE(has(text, "HIGHER by less than 2 % in the 2-year hour (22 mm of rain): at 2 places")) << text;
  EXPECT_FALSE(has(text, "HIGHER: below")) << text;
}

TEST(Terminal, NoLineIsWiderThanAsked) {
  SmallFacts run;
  run.preparation.model.network.id[SmallFacts::kK1] = "a-very-long-name-of-a-cut-indeed";
  run.preparation.model.notes.add(base::NoteId::OpeningOutsideTests, 0.4572, "K1");
  for (const std::size_t width : {100U, 120U}) {
    TerminalStyle style;
    style.width = width;
    std::istringstream lines(terminal_text(run.facts, style));
    for (std::string line; std::getline(lines, line);) {
      EXPECT_LE(shown_width(line), width) << line;
    }
  }
}

TEST(Terminal, AnUncertainCornerStandsOnceWithTheCutsBelowItAndBothAreas) {
  SmallFacts run;
  street::Corner corner;
  corner.id = "corner-kiln-street-north-at-lantern-street";
  corner.words = "Kiln Street, north side, at Lantern Street";
  corner.uncertain = true;
  corner.to_turn = SmallFacts::kK1;
  corner.to_cross = SmallFacts::kS1;
  corner.cells = 7;  // of 2 m2
  run.preparation.maps.street.corners = {corner};
  const std::string text = one_line(terminal_text(run.facts, {}));
  EXPECT_TRUE(
      has(text, "- Kiln Street, north side, at Lantern Street (turns, as far as heights tell): K1 gets"))
      << text;
  EXPECT_TRUE(has(text, "ground if the water turns, 46 m2 if it crosses; K2 120 m2 or 106 m2.")) << text;
  EXPECT_TRUE(has(text, "? a corner above, at which heights do not tell where the water goes, changes"))
      << text;
  EXPECT_TRUE(has(text, "3.0 m3 *? ")) << text;
  EXPECT_FALSE(has(one_line(terminal_text(SmallFacts().facts, {})), "Corners to look at in the rain"));
}

TEST(Terminal, ABasinThatSpillsIsOneLineForAllStorms) {
  SmallFacts run;
  run.storms[0].with_cuts.nodes[SmallFacts::kK1].over_rim_m3 = 0.25;
  run.storms[0].with_cuts.nodes[SmallFacts::kK1].over_rim_first_minute = 31.0;
  run.storms[1].with_cuts.nodes[SmallFacts::kK1].over_rim_m3 = 2.0;
  run.storms[1].with_cuts.nodes[SmallFacts::kK1].over_rim_first_minute = 20.0;
  const std::string text = one_line(terminal_text(run.facts, {}));
  EXPECT_TRUE(has(text, "SPILLS over the rim of K1: 250 L in the common storm (from minute 31), 2.0 m3 in"))
      << text;
}

TEST(Terminal, WaterThatLeavesBeforeTheCutIsSaid) {
  SmallFacts run;
  study::NodeResult& k1 = run.with(0, SmallFacts::kK1);
  EXPECT_FALSE(has(one_line(terminal_text(run.facts, {})), "most of it leaves"));
  k1.over_curb_m3 = 0.8 * k1.arriving_m3;
  EXPECT_TRUE(has(one_line(terminal_text(run.facts, {})),
                  "most of it leaves over the crown or the curb above the cut: look at the gutter there"));
}

TEST(Terminal, MissingDrainsStandBeforeTheTable) {
  SmallFacts run;
  run.preparation.model.notes.add(base::NoteId::DrainsNotGiven);
  const std::string text = terminal_text(run.facts, {});
  const std::size_t said = text.find("Storm drains were not given; areas may be too large.");
  ASSERT_NE(said, std::string::npos);
  EXPECT_LT(said, text.find("Each cut in"));
  EXPECT_EQ(text.find("Storm drains were not given", said + 1), std::string::npos);
}

TEST(Terminal, LedgersNotesAndCautionsAreThere) {
  SmallFacts run;
  run.preparation.model.notes.add(base::NoteId::EdgeCutsArea, 0.0, "K1");
  const std::string text = one_line(terminal_text(run.facts, {}));
  EXPECT_TRUE(
      has(text, "without cuts   in      8.000  out      8.000  still there      0.000  gap  0.000000"))
      << text;
  EXPECT_TRUE(has(text, "read its numbers as \"at least\". (K1)")) << text;
  EXPECT_TRUE(has(text, "* at least: its area, or that of a place above it, is cut by the edge of the data"));
  for (const std::string_view caution : cautions()) {
    EXPECT_TRUE(has(text, std::string(caution.substr(0, 30)))) << caution;
  }
}

}  // namespace
}  // namespace curbshed::report
