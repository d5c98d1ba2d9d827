#include "curbshed/base/parallel.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>
#include <atomic>
#include <exception>
#include <limits>
#include <mutex>
#include <utility>

#ifdef CURBSHED_STD_THREADS
#include <thread>
#include <vector>
#else
#include <tbb/blocked_range.h>
#include <tbb/info.h>
#include <tbb/parallel_for.h>
#include <tbb/partitioner.h>
#include <tbb/task_arena.h>
#include <tbb/version.h>
#endif

namespace curbshed::base {
namespace {

/// Keeps the exception of the lowest piece, so that which error the user sees does not depend on threads.
class FirstFailure {
 public:
  bool skip(std::int64_t piece) const { return piece > lowest_.load(std::memory_order_relaxed); }

  void take(std::int64_t piece, std::exception_ptr failure) {
    const std::lock_guard<std::mutex> lock(mutex_);
    if (piece < lowest_.load(std::memory_order_relaxed)) {
      lowest_.store(piece, std::memory_order_relaxed);
      failure_ = std::move(failure);
    }
  }

  void rethrow() const {
    if (failure_) {
      std::rethrow_exception(failure_);
    }
  }

 private:
  std::atomic<std::int64_t> lowest_{std::numeric_limits<std::int64_t>::max()};
  std::mutex mutex_;
  std::exception_ptr failure_;
};

/// First element of a piece, without the overflow of n · piece.
std::int64_t piece_begin(std::int64_t n, std::int64_t stripes, std::int64_t piece) {
  return (n / stripes) * piece + (n % stripes) * piece / stripes;
}

#ifdef CURBSHED_STD_THREADS
void run_pieces(std::int64_t stripes, int threads, const std::function<void(std::int64_t)>& piece) {
  std::atomic<std::int64_t> next{0};
  const auto work = [&] {
    for (std::int64_t i = next.fetch_add(1); i < stripes; i = next.fetch_add(1)) {
      piece(i);
    }
  };
  std::vector<std::thread> others;
  const auto helpers = std::min<std::int64_t>(threads, stripes) - 1;
  for (std::int64_t t = 0; t < helpers; ++t) {
    others.emplace_back(work);
  }
  work();
  for (std::thread& t : others) {
    t.join();
  }
}
#else
/// Set while this thread does pieces: what they cut up themselves stays in the same arena, for in one of its
/// own nobody could help who waits here.
thread_local bool in_arena = false;

void run_pieces(std::int64_t stripes, int threads, const std::function<void(std::int64_t)>& piece) {
  const auto run = [&] {
    tbb::parallel_for(
        tbb::blocked_range<std::int64_t>(0, stripes, 1),
        [&](const tbb::blocked_range<std::int64_t>& range) {
          const bool before = std::exchange(in_arena, true);
          for (std::int64_t i = range.begin(); i != range.end(); ++i) {
            piece(i);
          }
          in_arena = before;
        },
        tbb::simple_partitioner());
  };
  if (in_arena) {
    run();
    return;
  }
  // More than the machine has would only make TBB print a warning.
  tbb::task_arena arena(std::min(threads, tbb::info::default_concurrency()));
  arena.execute(run);
}
#endif

}  // namespace

void parallel_stripes(std::int64_t n, std::int64_t stripes, Workers workers,
                      const std::function<void(std::int64_t, std::int64_t)>& body) {
  ensure(n >= 0 && stripes >= 1, "parallel_stripes: n >= 0 and stripes >= 1");
  ensure(workers.threads >= 1 && workers.threads <= 256, "parallel_stripes: 1 to 256 threads");
  FirstFailure first;
  const auto piece = [&](std::int64_t i) {
    const std::int64_t begin = piece_begin(n, stripes, i);
    const std::int64_t end = piece_begin(n, stripes, i + 1);
    if (begin == end || first.skip(i)) {
      return;
    }
    try {
      body(begin, end);
    } catch (...) {
      first.take(i, std::current_exception());
    }
  };
  if (workers.threads == 1 || stripes == 1) {
    for (std::int64_t i = 0; i < stripes; ++i) {
      piece(i);
    }
  } else {
    run_pieces(stripes, workers.threads, piece);
  }
  first.rethrow();
}

std::string thread_library_version() {
#ifdef CURBSHED_STD_THREADS
  return "std::thread";
#else
  return std::to_string(TBB_VERSION_MAJOR) + "." + std::to_string(TBB_VERSION_MINOR);
#endif
}

}  // namespace curbshed::base
