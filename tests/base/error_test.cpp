#include "curbshed/base/error.hpp"

#include <gtest/gtest.h>

namespace curbshed::base {
namespace {

TEST(InputErrorText, ReadsAsPlainSentences) {
  const InputError error({.file = "study.toml", .layer = {}, .feature = "basin.length"},
                         "−18 in is not usable", "0.1 m to 30 m", "give the length of the floor");
  EXPECT_STREQ(error.what(),
               "study.toml, basin.length: −18 in is not usable. Allowed: 0.1 m to 30 m. Do: give the length "
               "of the floor.");
}

TEST(InputErrorText, LeavesEmptyPartsOut) {
  EXPECT_STREQ(InputError({}, "no cut was given", {}, {}).what(), "no cut was given.");
  EXPECT_STREQ(
      InputError({.file = "a.gpkg", .layer = "cuts", .feature = "7"}, "the point is empty.", {}, "draw it")
          .what(),
      "a.gpkg, cuts, 7: the point is empty. Do: draw it.");
}

TEST(InputErrorText, LocatedFillsOnlyWhatIsEmpty) {
  const InputError inner({.file = {}, .layer = {}, .feature = "12"}, "x", "y", "z");
  const InputError outer = inner.located({.file = "a.gpkg", .layer = "cuts", .feature = "other"});
  EXPECT_STREQ(outer.what(), "a.gpkg, cuts, 12: x. Allowed: y. Do: z.");
  EXPECT_EQ(outer.met(), "x");
  EXPECT_EQ(outer.allowed(), "y");
  EXPECT_EQ(outer.next(), "z");
}

TEST(Ensure, ThrowsOnlyWhenThePromiseIsBroken) {
  EXPECT_NO_THROW(ensure(true, "p"));
  EXPECT_THROW(ensure(false, "p"), BugError);
}

}  // namespace
}  // namespace curbshed::base
