#include "curbshed/base/parallel.hpp"

#include "curbshed/base/error.hpp"

#include <atomic>
#include <mutex>
#include <set>
#include <utility>
#include <vector>

#include <gtest/gtest.h>

namespace curbshed::base {
namespace {

std::set<std::pair<std::int64_t, std::int64_t>> pieces(std::int64_t n, std::int64_t stripes, int threads) {
  std::set<std::pair<std::int64_t, std::int64_t>> seen;
  std::mutex mutex;
  parallel_stripes(n, stripes, {.threads = threads}, [&](std::int64_t begin, std::int64_t end) {
    const std::lock_guard<std::mutex> lock(mutex);
    seen.insert({begin, end});
  });
  return seen;
}

TEST(ParallelStripes, PiecesCoverEverythingOnceWhateverTheThreads) {
  for (const std::int64_t n : {0, 1, 7, 100, 1001}) {
    for (const std::int64_t stripes : {1, 2, 8, 13}) {
      const auto one = pieces(n, stripes, 1);
      EXPECT_EQ(one, pieces(n, stripes, 2));
      EXPECT_EQ(one, pieces(n, stripes, 5));
      std::int64_t at = 0;
      for (const auto& piece : one) {
        EXPECT_EQ(piece.first, at);
        EXPECT_GT(piece.second, piece.first);
        EXPECT_LE(piece.second - piece.first, n / stripes + 1);
        at = piece.second;
      }
      EXPECT_EQ(at, n);
    }
  }
}

TEST(ParallelStripes, HugeCountsDoNotOverflow) {
  const std::int64_t n = 4'000'000'000'000'000'000;
  const auto seen = pieces(n, 64, 2);
  EXPECT_EQ(seen.size(), 64U);
  EXPECT_EQ(seen.rbegin()->second, n);
}

TEST(ParallelStripes, PiecesThatCutUpWorkThemselvesDoAllOfIt) {
  for (const int threads : {1, 2, 4}) {
    std::vector<int> done(6 * 40, 0);
    parallel_stripes(6, 6, {.threads = threads}, [&](std::int64_t outer, std::int64_t) {
      parallel_stripes(40, 40, {.threads = threads}, [&](std::int64_t inner, std::int64_t) {
        ++done[static_cast<std::size_t>(outer * 40 + inner)];
      });
    });
    EXPECT_EQ(done, std::vector<int>(done.size(), 1));
  }
}

TEST(ParallelStripes, AnErrorOfAPieceInAPieceComesOut) {
  EXPECT_THROW(parallel_stripes(4, 4, {.threads = 2},
                                [](std::int64_t, std::int64_t) {
                                  parallel_stripes(4, 4, {.threads = 2}, [](std::int64_t i, std::int64_t) {
                                    if (i == 3) throw InputError({}, "three", {}, {});
                                  });
                                }),
               InputError);
}

TEST(ParallelStripes, TheErrorOfTheLowestPieceIsTheOneThatIsSeen) {
  for (const int threads : {1, 2, 4}) {
    for (int run = 0; run < 50; ++run) {
      try {
        parallel_stripes(64, 64, {.threads = threads}, [](std::int64_t begin, std::int64_t) {
          if (begin % 16 == 9) {
            throw InputError({}, std::to_string(begin), {}, {});
          }
        });
        FAIL();
      } catch (const InputError& e) {
        EXPECT_EQ(e.met(), "9");
      }
    }
  }
}

TEST(ParallelStripes, MayBeNested) {
  std::atomic<std::int64_t> sum{0};
  parallel_stripes(10, 5, {.threads = 2}, [&](std::int64_t begin, std::int64_t end) {
    for (std::int64_t i = begin; i < end; ++i) {
      parallel_stripes(100, 4, {.threads = 2}, [&](std::int64_t b, std::int64_t e) { sum += e - b; });
    }
  });
  EXPECT_EQ(sum.load(), 1000);
}

TEST(ParallelStripes, RefusesSenselessLimits) {
  const auto nothing = [](std::int64_t, std::int64_t) {};
  EXPECT_THROW(parallel_stripes(1, 0, {.threads = 1}, nothing), BugError);
  EXPECT_THROW(parallel_stripes(1, 1, {.threads = 0}, nothing), BugError);
  EXPECT_THROW(parallel_stripes(-1, 1, {.threads = 1}, nothing), BugError);
}

}  // namespace
}  // namespace curbshed::base
