#include "curbshed/terrain/grid.hpp"

#include "curbshed/base/parallel.hpp"

#include <bit>
#include <cmath>
#include <cstddef>
#include <cstdlib>
#include <map>
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

#ifdef __linux__
/// Memory in whole large pages. Pages of pieces that are kept are moved under the next block's addresses, so
/// that it does not matter whether the sizes fit. Each piece lies within one mapping of the system, which
/// only moves such.
class KeptPages {
 public:
  static KeptPages& all() {
    static auto* const pages = new KeptPages;  // never gone before the last grid is
    return *pages;
  }

  void more_keepers(int change) {
    const std::lock_guard<std::mutex> lock(mutex_);
    keepers_ += change;
    if (keepers_ > 0) return;
    for (const Piece& piece : kept_) munmap(piece.at, piece.bytes);
    kept_.clear();
  }

  void* take(std::size_t whole) {
    const std::lock_guard<std::mutex> lock(mutex_);
    if (void* const at = take_from_one(whole)) return at;
    char* const at = new_addresses(whole);
    std::vector<Piece>& pieces = blocks_[at];
    std::size_t done = 0;
    while (done < whole && !kept_.empty()) {
      done += pieces.emplace_back(at + done, move_last_to(at + done, whole - done)).bytes;
    }
    if (done < whole) pieces.emplace_back(at + done, whole - done);
    return at;
  }

  void give_back(void* memory) {
    const std::lock_guard<std::mutex> lock(mutex_);
    const auto block = blocks_.find(static_cast<char*>(memory));
    for (const Piece& piece : block->second) {
      if (keepers_ > 0) {
        kept_.push_back(piece);
      } else {
        munmap(piece.at, piece.bytes);
      }
    }
    blocks_.erase(block);
  }

 private:
  struct Piece {
    Piece(char* place, std::size_t size) : at(place), bytes(size) {}
    char* at;
    std::size_t bytes;
  };

  /// The newest piece that fits whole.
  void* take_from_one(std::size_t whole) {
    for (std::size_t i = kept_.size(); i-- > 0;) {
      if (kept_[i].bytes == whole) {
        char* const at = kept_[i].at;
        kept_.erase(kept_.begin() + static_cast<std::ptrdiff_t>(i));
        blocks_[at] = {Piece(at, whole)};
        return at;
      }
    }
    return nullptr;
  }

  static char* new_addresses(std::size_t whole) {
    void* const raw =
        mmap(nullptr, whole + kLargePage, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
    if (raw == MAP_FAILED) throw std::bad_alloc();
    char* const from = static_cast<char*>(raw);
    const std::size_t over = reinterpret_cast<std::uintptr_t>(raw) % kLargePage;
    const std::size_t before = over == 0 ? 0 : kLargePage - over;
    if (before > 0) munmap(from, before);
    munmap(from + before + whole, kLargePage - before);
    madvise(from + before, whole, MADV_HUGEPAGE);  // a wish
    return from + before;
  }

  /// Moves the end of the newest piece, at most `room` of it, to `to`; returns how much. Where the system
  /// does not move it, it goes and fresh memory takes its place.
  std::size_t move_last_to(char* to, std::size_t room) {
    Piece& last = kept_.back();
    const std::size_t bytes = std::min(last.bytes, room);
    char* const from = last.at + (last.bytes - bytes);
    if (mremap(from, bytes, bytes, MREMAP_MAYMOVE | MREMAP_FIXED, to) == MAP_FAILED) {
      munmap(from, bytes);
      if (mmap(to, bytes, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS | MAP_FIXED, -1, 0) ==
          MAP_FAILED) {
        throw std::bad_alloc();
      }
    }
    last.bytes -= bytes;
    if (last.bytes == 0) kept_.pop_back();
    return bytes;
  }

  std::mutex mutex_;
  int keepers_ = 0;
  std::vector<Piece> kept_;
  std::map<char*, std::vector<Piece>> blocks_;  // that are in use, by their address
};
#endif

}  // namespace

void* take_grid_memory(std::size_t bytes) {
#ifdef __linux__
  if (bytes >= kWorthKeeping) return KeptPages::all().take(in_large_pages(bytes));
#endif
  return fresh_memory(bytes);
}

void free_grid_memory(void* memory, std::size_t bytes) noexcept {
#ifdef __linux__
  if (bytes >= kWorthKeeping) {
    KeptPages::all().give_back(memory);
    return;
  }
#endif
  static_cast<void>(bytes);
  std::free(memory);
}

#ifdef __linux__
KeptGridMemory::KeptGridMemory() { KeptPages::all().more_keepers(1); }
KeptGridMemory::~KeptGridMemory() { KeptPages::all().more_keepers(-1); }
#else
KeptGridMemory::KeptGridMemory() = default;
KeptGridMemory::~KeptGridMemory() = default;
#endif

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
