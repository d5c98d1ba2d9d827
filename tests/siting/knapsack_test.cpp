#include "curbshed/siting/knapsack.hpp"

#include "curbshed/base/error.hpp"

#include <map>
#include <random>

#include <gtest/gtest.h>

namespace curbshed::siting {
namespace {

/// Every set tried.
double best_by_trying(const std::vector<Parcel>& parcels, const PackLimits& limits) {
  double best = -1.0;
  for (std::uint32_t set = 0; set < (1U << parcels.size()); ++set) {
    double worth = 0.0;
    double money = 0.0;
    double digging_m3 = 0.0;
    std::int64_t count = 0;
    std::map<std::string, std::int64_t> blocks;
    bool fits = true;
    for (std::size_t p = 0; p < parcels.size(); ++p) {
      if ((set >> p & 1U) == 0) {
        fits = fits && !parcels[p].must;
        continue;
      }
      fits = fits && !parcels[p].never;
      worth += parcels[p].worth;
      money += parcels[p].money;
      digging_m3 += parcels[p].digging_m3;
      ++count;
      if (!parcels[p].block.empty() && limits.per_block) {
        fits = fits && ++blocks[parcels[p].block] <= *limits.per_block;
      }
    }
    fits = fits && (!limits.count || count <= *limits.count) && (!limits.money || money <= *limits.money) &&
           (!limits.digging_m3 || digging_m3 <= *limits.digging_m3);
    if (fits) {
      best = std::max(best, worth);
    }
  }
  return best;
}

std::vector<Parcel> random_parcels(std::mt19937& random, std::size_t many) {
  std::vector<Parcel> parcels;
  for (std::size_t p = 0; p < many; ++p) {
    // Quarters add up without rounding, so that equal packings are equal to the bit.
    parcels.push_back(
        {.worth = static_cast<double>(random() % 80) / 4.0 - 1.0,
         .money = static_cast<double>(random() % 40) / 4.0,
         .digging_m3 = static_cast<double>(random() % 12) / 4.0,
         .block = random() % 3 == 0 ? "" : std::string(1, static_cast<char>('a' + random() % 3)),
         .must = random() % 12 == 0});
    parcels.back().never = !parcels.back().must && random() % 10 == 0;
  }
  return parcels;
}

PackLimits random_limits(std::mt19937& random) {
  PackLimits limits;
  if (random() % 2 == 0) {
    limits.count = 3 + static_cast<std::int64_t>(random() % 5);
  }
  if (random() % 2 == 0) {
    limits.money = 20.0 + static_cast<double>(random() % 20);
  }
  if (random() % 2 == 0) {
    limits.digging_m3 = 5.0 + static_cast<double>(random() % 5);
  }
  if (random() % 2 == 0) {
    limits.per_block = 2;
  }
  return limits;
}

TEST(Knapsack, EqualsEverySetTriedAndTheBoundIsNeverUnderIt) {
  std::mt19937 random(811);
  int compared = 0;
  for (int i = 0; i < 500; ++i) {
    SCOPED_TRACE(i);
    const std::vector<Parcel> parcels = random_parcels(random, 4 + random() % 9);
    const PackLimits limits = random_limits(random);
    const double best = best_by_trying(parcels, limits);
    if (best < 0.0) {
      continue;  // what must be packed does not fit, or costs more than it brings
    }
    ++compared;
    const Packing packing = pack(parcels, limits, 1'000'000);
    EXPECT_TRUE(packing.proved);
    EXPECT_EQ(packing.worth, best);
    EXPECT_EQ(packing.bound, packing.worth);
    EXPECT_GE(packing_bound(parcels, limits), best);
  }
  EXPECT_GT(compared, 350);
}

TEST(Knapsack, WithTooFewStepsTheBoundStaysAboveWhatIsFound) {
  std::mt19937 random(812);
  const std::vector<Parcel> parcels = random_parcels(random, 40);
  const PackLimits limits{.money = 60.0, .digging_m3 = 12.0};
  const Packing few = pack(parcels, limits, 3);
  EXPECT_FALSE(few.proved);
  const Packing many = pack(parcels, limits, 10'000'000);
  EXPECT_TRUE(many.proved);
  EXPECT_LE(few.worth, many.worth);
  EXPECT_GE(few.bound, many.worth);
}

TEST(Knapsack, WithNoLimitEverythingOfWorthIsTaken) {
  const Packing all = pack({{.worth = 1.0}, {.worth = -2.0}, {.worth = 3.0, .money = 1e9}}, {}, 100);
  EXPECT_EQ(all.taken, (std::vector<std::size_t>{0, 2}));
  EXPECT_EQ(all.worth, 4.0);
}

TEST(Knapsack, OfEqualPackingsTheEarlierIsTaken) {
  const std::vector<Parcel> same(4, {.worth = 2.0, .money = 3.0});
  EXPECT_EQ(pack(same, {.money = 6.5}, 1000).taken, (std::vector<std::size_t>{0, 1}));
}

TEST(Knapsack, NegativeWeightsAreOurBug) {
  EXPECT_THROW((void)pack({{.worth = 1.0, .money = -1.0}}, {}, 10), base::BugError);
  EXPECT_THROW((void)packing_bound({{.worth = 1.0, .must = true, .never = true}}, {}), base::BugError);
}

}  // namespace
}  // namespace curbshed::siting
