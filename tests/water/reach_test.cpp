#include "curbshed/water/reach.hpp"

#include "curbshed/base/error.hpp"

#include <cmath>
#include <limits>
#include <random>
#include <vector>

#include <gtest/gtest.h>

namespace curbshed::water {
namespace {

TEST(DelayLine, NoDelayPassesTheSameStep) {
  const DelaySplit none = delay_split(0.0, 5.0);
  DelayLine line(none);
  line.put(2.0, none);
  EXPECT_EQ(line.take(), 2.0);
  EXPECT_EQ(line.take(), 0.0);
}

TEST(DelayLine, FractionIsSplitBetweenTwoSteps) {
  const DelaySplit d = delay_split(12.0, 5.0);
  EXPECT_EQ(d.whole, 2U);
  EXPECT_NEAR(d.later, 0.4, 1e-15);
  DelayLine line(d);
  line.put(10.0, d);
  EXPECT_EQ(line.take(), 0.0);
  EXPECT_EQ(line.take(), 0.0);
  EXPECT_NEAR(line.take(), 6.0, 1e-14);
  EXPECT_NEAR(line.take(), 4.0, 1e-14);
  EXPECT_EQ(line.take(), 0.0);
}

TEST(DelayLine, WhatIsInsideIsItsOwnSumAndVolumeIsExact) {
  const unsigned seed = 31;
  RecordProperty("seed", static_cast<int>(seed));
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  for (int trial = 0; trial < 50; ++trial) {
    const double longest_s = 200.0 * unit(random);
    DelayLine line(delay_split(longest_s, 5.0));
    double put = 0.0;
    double taken = 0.0;
    for (int step = 0; step < 300; ++step) {
      for (int part = 0; part < 3; ++part) {
        const double volume = unit(random);
        put += volume;
        line.put(volume, delay_split(longest_s * unit(random), 5.0));
      }
      const double out = line.take();
      ASSERT_GE(out, 0.0);
      taken += out;
      ASSERT_NEAR(put, taken + line.stored_m3(), 1e-12 * put) << "seed " << seed << " step " << step;
    }
    for (int step = 0; step < 60; ++step) taken += line.take();
    EXPECT_NEAR(put, taken, 1e-12 * put);
    EXPECT_EQ(line.stored_m3(), 0.0);
  }
}

TEST(DelayLine, CentreOfTheWaveArrivesAfterTheDelay) {
  for (const double delay_s : {0.0, 3.0, 47.3, 300.0}) {
    const DelaySplit d = delay_split(delay_s, 5.0);
    DelayLine line(d);
    double in_moment = 0.0;
    double out_moment = 0.0;
    double volume = 0.0;
    for (int step = 0; step < 400; ++step) {
      const double in = step < 60 ? std::sin(0.05 * step) + 1.0 : 0.0;
      line.put(in, d);
      const double out = line.take();
      in_moment += in * 5.0 * step;
      out_moment += out * 5.0 * step;
      volume += in;
    }
    EXPECT_NEAR((out_moment - in_moment) / volume, delay_s, 1e-9);
  }
}

TEST(DelayLine, TooLongADelayIsABug) {
  DelayLine line(delay_split(10.0, 5.0));
  EXPECT_THROW(line.put(1.0, delay_split(20.0, 5.0)), base::BugError);
  EXPECT_THROW(delay_split(-1.0, 5.0), base::BugError);
  EXPECT_THROW(delay_split(1.0, 0.0), base::BugError);
  EXPECT_THROW(delay_split(std::numeric_limits<double>::infinity(), 5.0), base::BugError);
}

}  // namespace
}  // namespace curbshed::water
