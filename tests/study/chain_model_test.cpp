#include "curbshed/study/chain_model.hpp"

#include "curbshed/base/error.hpp"

#include "support/chain_worlds.hpp"

#include <gtest/gtest.h>

namespace curbshed::testing {
namespace {

using namespace curbshed::study;

TEST(ChainModel, AWholeOneIsAccepted) { EXPECT_NO_THROW(check(busy_chain())); }

TEST(ChainModel, WhatAStormCouldNotRunOnIsOurBug) {
  const ChainModel good = busy_chain();
  ChainModel bad = good;
  bad.params.pop_back();
  EXPECT_THROW(check(bad), base::BugError);
  bad = good;
  bad.params[0].grade = 0.0;
  EXPECT_THROW(check(bad), base::BugError);
  bad = good;
  bad.params[1].clogging = 1.5;
  EXPECT_THROW(check(bad), base::BugError);
  bad = good;
  bad.network.downstream[2] = -1;
  EXPECT_THROW(check(bad), base::BugError);
  bad = good;
  bad.loss_classes.pop_back();
  EXPECT_THROW(check(bad), base::BugError);
  bad = good;
  bad.contribution.first.pop_back();
  EXPECT_THROW(check(bad), base::BugError);
  bad = good;
  bad.loss_classes[1].connected = -0.1;
  EXPECT_THROW(check(bad), base::BugError);
}

TEST(ChainModel, ABasinWhoseRimIsUnderTheInvertSaysSo) {
  BasinParams basin;
  basin.invert_m = 100.0;
  basin.rim_m = 100.0;
  EXPECT_FALSE(basin.rim_below_invert());
  basin.rim_m = 99.99;
  EXPECT_TRUE(basin.rim_below_invert());
}

}  // namespace
}  // namespace curbshed::testing
