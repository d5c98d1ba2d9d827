#include "curbshed/terrain/grid.hpp"

#include "curbshed/base/parallel.hpp"

#include <bit>
#include <cmath>
#include <cstdlib>
#include <mutex>

#include <fmt/format.h>

#ifdef __linux__
#include <sys/mman.h>
#endif

namespace curbshed::terrain {

namespace {

/// Cells from an origin, kept within ±2^62 so that far-off points do not overflow.
std::int64_t steps(double distance_m, double cell_m) {
  constexpr double kFar = 4.0e18;
  const double n = std::floor(distance_m / cell_m);
  if (!(n > -kFar)) return -static_cast<std::int64_t>(kFar);
  if (!(n < kFar)) return static_cast<std::int64_t>(kFar);
  return static_cast<std::int64_t>(n);
}

}  // namespace

std::int64_t GridFrame::row_of(double y_m) const { return steps(north_m - y_m, cell_m); }

std::int64_t GridFrame::col_of(double x_m) const { return steps(x_m - west_m, cell_m); }

std::int64_t GridFrame::cell_at(base::Point p) const {
  const std::int64_t row = row_of(p.y_m);
  const std::int64_t col = col_of(p.x_m);
  return inside(row, col) ? index(row, col) : -1;
}

namespace {

constexpr std::size_t kLargePage = std::size_t{1} << 21;
constexpr std::size_t kWorthLargePages = 2 * kLargePage;
constexpr std::size_t kWorthKeeping = 16 * kLargePage;

std::size_t in_large_pages(std::size_t bytes) { return (bytes + kLargePage - 1) / kLargePage * kLargePage; }

void* fresh_memory(std::size_t bytes) {
  const bool large = bytes >= kWorthLargePages;
  const std::size_t whole = in_large_pages(bytes);
  void* memory = large ? std::aligned_alloc(kLargePage, whole) : std::malloc(std::max<std::size_t>(bytes, 1));
  if (memory == nullptr) throw std::bad_alloc();
#ifdef MADV_HUGEPAGE
  // A wish: without large pages the memory is as good.
  if (large) static_cast<void>(madvise(memory, whole, MADV_HUGEPAGE));
#endif
  return memory;
}

/// Blocks that wait for the next grid of their size.
class KeptBlocks {
 public:
  static KeptBlocks& all() {
    static auto* const blocks = new KeptBlocks;  // never gone before the last grid is
    return *blocks;
  }

  void more_keepers(int change) {
    const std::lock_guard<std::mutex> lock(mutex_);
    keepers_ += change;
    if (keepers_ == 0) let_go();
  }
  /// A block of that size; null when there is none.
  void* take(std::size_t whole) {
    const std::lock_guard<std::mutex> lock(mutex_);
    for (Block& block : blocks_) {
      if (block.bytes == whole) {
        void* const memory = block.memory;
        blocks_.erase(blocks_.begin() + (&block - blocks_.data()));
        return memory;
      }
    }
    return nullptr;
  }
  /// The newest stay, together no more than the largest of all so far.
  bool keep(void* memory, std::size_t whole) {
    const std::lock_guard<std::mutex> lock(mutex_);
    if (keepers_ == 0) return false;
    largest_ = std::max(largest_, whole);
    blocks_.push_back({memory, whole});
    std::size_t sum = 0;
    for (const Block& block : blocks_) sum += block.bytes;
    while (sum > largest_) {
      sum -= blocks_.front().bytes;
      std::free(blocks_.front().memory);
      blocks_.erase(blocks_.begin());
    }
    return true;
  }

 private:
  struct Block {
    void* memory = nullptr;
    std::size_t bytes = 0;
  };
  void let_go() {
    for (const Block& block : blocks_) std::free(block.memory);
    blocks_.clear();
    largest_ = 0;
  }

  std::mutex mutex_;
  int keepers_ = 0;
  std::size_t largest_ = 0;
  std::vector<Block> blocks_;
};

}  // namespace

void* take_grid_memory(std::size_t bytes) {
  if (bytes >= kWorthKeeping) {
    if (void* const kept = KeptBlocks::all().take(in_large_pages(bytes))) return kept;
  }
  return fresh_memory(bytes);
}

void free_grid_memory(void* memory, std::size_t bytes) noexcept {
  if (bytes < kWorthKeeping || !KeptBlocks::all().keep(memory, in_large_pages(bytes))) std::free(memory);
}

KeptGridMemory::KeptGridMemory() { KeptBlocks::all().more_keepers(1); }
KeptGridMemory::~KeptGridMemory() { KeptBlocks::all().more_keepers(-1); }

namespace {

bool row_is_finite(const float* height_m, const std::uint8_t* valid, std::int64_t cols) {
  std::uint32_t odd = 0;
  for (std::int64_t c = 0; c < cols; ++c) {
    const std::uint32_t exponent = std::bit_cast<std::uint32_t>(height_m[c]) & 0x7F800000U;
    odd |= exponent == 0x7F800000U ? std::uint32_t{valid[c]} : 0U;
  }
  return odd == 0;
}

}  // namespace

void check(const Ground& ground, int threads) {
  const GridFrame& frame = ground.frame;
  base::ensure(frame.rows >= 0 && frame.cols >= 0 && frame.cell_m > 0.0 && std::isfinite(frame.cell_m),
               "a ground has a positive cell size and no negative size");
  base::ensure(ground.height_m.rows() == frame.rows && ground.height_m.cols() == frame.cols,
               "heights are as large as their frame");
  base::ensure(ground.valid.rows() == frame.rows && ground.valid.cols() == frame.cols,
               "the validity mask is as large as its frame");
  if (frame.cells() == 0) return;
  const std::int64_t stripes = std::min<std::int64_t>(frame.rows, 64);
  base::parallel_stripes(frame.rows, stripes, {threads}, [&](std::int64_t begin, std::int64_t end) {
    for (std::int64_t row = begin; row < end; ++row) {
      const std::int64_t first = row * frame.cols;
      if (row_is_finite(ground.height_m.data() + first, ground.valid.data() + first, frame.cols)) continue;
      std::int64_t cell = first;
      while (ground.valid[cell] == 0 || std::isfinite(ground.height_m[cell])) ++cell;
      throw base::InputError(
          {"", "elevation", ""},
          fmt::format("height {} at row {}, column {}", ground.height_m[cell], row, cell - first),
          "a finite number of metres, or no data", "mark such cells as no data in the elevation file");
    }
  });
}

}  // namespace curbshed::terrain
