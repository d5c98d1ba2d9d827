#include "curbshed/base/names.hpp"

#include <gtest/gtest.h>

namespace curbshed::base {
namespace {

TEST(Names, LettersApartCountsChangesAdditionsAndDrops) {
  EXPECT_EQ(letters_apart("Kiln", "Kiln"), 0U);
  EXPECT_EQ(letters_apart("Klin", "Kiln"), 2U);
  EXPECT_EQ(letters_apart("", "Kiln"), 4U);
}

TEST(Names, NearestComeFirst) {
  const std::vector<std::string> streets{"Adobe Lane", "Kiln Street", "Kilo Street"};
  EXPECT_EQ(nearest_words("Kiln Stret", streets, 2),
            (std::vector<std::string>{"Kiln Street", "Kilo Street"}));
  EXPECT_EQ(nearest_words("x", {}, 2).size(), 0U);
}

TEST(Names, BlanksAndCapitalsDoNotMakeAnotherName) {
  EXPECT_EQ(plain_name("  Kiln \t STREET "), "kiln street");
  EXPECT_EQ(plain_name(" "), "");
}

TEST(Names, NumbersInNamesSortByTheirValue) {
  EXPECT_TRUE(natural_less("K2", "K10"));
  EXPECT_FALSE(natural_less("K10", "K2"));
  EXPECT_TRUE(natural_less("K2", "K2a"));
  EXPECT_TRUE(natural_less("K02", "K2")) << "alike but for a nought: by bytes";
  EXPECT_FALSE(natural_less("K2", "K02"));
  EXPECT_FALSE(natural_less("K2", "K2"));
  EXPECT_TRUE(natural_less("", "a"));
}

TEST(Names, SlugsHoldLettersDigitsAndDashes) {
  EXPECT_EQ(slug("St. Cecilia's Way (east)"), "st-cecilia-s-way-east");
  EXPECT_EQ(slug("Ñandú Street"), "Ñandú-street");
}

}  // namespace
}  // namespace curbshed::base
