#include "terrain/banded_flats.hpp"

#include "terrain/falls.hpp"
#include "terrain/rising_queue.hpp"

#include <limits>

namespace curbshed::terrain {

namespace {

constexpr std::uint8_t kAcross = 252;  ///< undecided, in a pond that reaches the rim of its band
constexpr std::uint64_t kUnreached = std::numeric_limits<std::uint64_t>::max();

/// Up to three rows around one row of a band.
struct Strip {
  Ground ground;
  Grid<float> levels;
  std::int64_t row0 = 0;  ///< in the whole raster
  std::int64_t at = 0;    ///< the middle row

  Strip(const Bands& bands, const LevelBand& band, std::int64_t row) {
    const std::int64_t cols = bands.frame.cols;
    const std::int64_t first = bands.row0(band.band);
    const std::int64_t top = std::max(first + row - 1, std::int64_t{0});
    const std::int64_t end = std::min(first + row + 2, bands.frame.rows);
    row0 = top;
    at = first + row - top;
    ground.frame = bands.frame;
    ground.frame.rows = end - top;
    ground.height_m = Grid<float>(end - top, cols);
    ground.valid = Grid<std::uint8_t>(end - top, cols);
    levels = Grid<float>(end - top, cols);
    for (std::int64_t r = top; r < end; ++r) {
      const std::int64_t in_band = r - first;
      if (in_band < 0) {
        copy(r - top, band.above.height_m.data(), band.above.valid.data(), band.above.level_m.data());
      } else if (in_band >= band.ground.frame.rows) {
        copy(r - top, band.below.height_m.data(), band.below.valid.data(), band.below.level_m.data());
      } else {
        copy(r - top, &band.ground.height_m.at(in_band, 0), &band.ground.valid.at(in_band, 0),
             &band.levels.at(in_band, 0));
      }
    }
  }

 private:
  void copy(std::int64_t row, const float* height_m, const std::uint8_t* valid, const float* level_m) {
    const std::int64_t cols = levels.cols();
    std::copy_n(height_m, cols, &ground.height_m.at(row, 0));
    std::copy_n(valid, cols, &ground.valid.at(row, 0));
    std::copy_n(level_m, cols, &levels.at(row, 0));
  }
};

}  // namespace

/// The ponds of one band that lie in several: least costs, laid out with a frame of one cell around the band.
class BandedFlats::Spread {
 public:
  Spread(std::int64_t rows, std::int64_t cols, std::vector<std::uint32_t> cells,
         const std::vector<std::uint16_t>& resistances, std::vector<std::uint8_t> ways_out)
      : rows_(rows),
        cols_(cols),
        cells_(std::move(cells)),
        ways_out_(std::move(ways_out)),
        cost_(static_cast<std::size_t>((rows + 2) * (cols + 2)), kUnreached),
        resistance_(cost_.size(), 0) {
    for (int k = 0; k < kBearings; ++k) step_[k] = kRowStep[k] * (cols + 2) + kColStep[k];
    for (std::size_t i = 0; i < cells_.size(); ++i) resistance_[place_of(i)] = resistances[i];
  }

  Rim top;     ///< the band's own first row
  Rim bottom;  ///< and last row
  Rim above;   ///< beside it; empty beyond the raster
  Rim below;

  void run() {
    for (std::size_t i = 0; i < cells_.size(); ++i) {
      const std::size_t place = place_of(i);
      if (ways_out_[i] != kStops) offer(place, step_cost(place, ways_out_[i]));
      const Cell cell = cell_of(i);
      for (int k = 0; k < kBearings; ++k) {
        const std::uint64_t rest = leaves(cell.row, k) ? beyond(cell, k) : kUnreached;
        if (rest != kUnreached) offer(place, rest + step_cost(place, k));
      }
    }
    while (!queue_.empty()) {
      const auto [cost, place] = queue_.pop();
      if (cost != cost_[place]) continue;
      for (int k = 0; k < kBearings; ++k) {
        const std::size_t from = beside(place, k);
        if (resistance_[from] != 0) offer(from, cost + step_cost(from, k));
      }
    }
  }

  /// Directions of the cells that have been reached, by the lowest bearing. Returns how many have not.
  std::int64_t write(std::uint8_t* directions) const {
    std::int64_t unreached = 0;
    for (std::size_t i = 0; i < cells_.size(); ++i) {
      int bearing = 0;
      while (bearing < kBearings && !leads(i, bearing)) ++bearing;
      if (bearing == kBearings) {
        ++unreached;
      } else {
        directions[cells_[i]] = static_cast<std::uint8_t>(bearing);
      }
    }
    return unreached;
  }

  /// Puts the costs of a row into its rim. False when they were there before.
  bool update(Rim& rim, std::int64_t row) const {
    bool changed = false;
    for (std::int64_t c = 0; c < cols_; ++c) {
      const auto place = static_cast<std::size_t>((row + 1) * (cols_ + 2) + c + 1);
      std::uint64_t& cost = rim.cost[static_cast<std::size_t>(c)];
      if (resistance_[place] == 0 || cost == cost_[place]) continue;
      cost = cost_[place];
      changed = true;
    }
    return changed;
  }

 private:
  struct Cell {
    std::int64_t row = 0;
    std::int64_t col = 0;
  };
  Cell cell_of(std::size_t i) const { return {cells_[i] / cols_, cells_[i] % cols_}; }
  std::size_t place_of(std::size_t i) const {
    const Cell cell = cell_of(i);
    return static_cast<std::size_t>((cell.row + 1) * (cols_ + 2) + cell.col + 1);
  }
  std::size_t beside(std::size_t place, int bearing) const {
    return static_cast<std::size_t>(static_cast<std::int64_t>(place) + step_[bearing]);
  }
  std::uint64_t step_cost(std::size_t place, int bearing) const {
    return length_of(bearing) * resistance_[place];
  }
  bool leaves(std::int64_t row, int k) const { return row + kRowStep[k] < 0 || row + kRowStep[k] >= rows_; }
  /// What it costs from the cell beyond the band; kUnreached where that is none of the same pond or its end.
  std::uint64_t beyond(const Cell& cell, int k) const {
    const bool up = cell.row + kRowStep[k] < 0;
    const std::int64_t col = cell.col + kColStep[k];
    const Rim& rim = up ? above : below;
    const Rim& own = up ? top : bottom;
    if (rim.cost.empty() || col < 0 || col >= cols_) return kUnreached;
    const auto n = static_cast<std::size_t>(col);
    return rim.level_m[n] == own.level_m[static_cast<std::size_t>(cell.col)] ? rim.cost[n] : kUnreached;
  }
  /// Whether a step toward bearing k begins a cheapest way out.
  bool leads(std::size_t i, int k) const {
    const std::size_t place = place_of(i);
    std::uint64_t rest = kUnreached;
    if (k == ways_out_[i]) {
      rest = 0;
    } else if (const Cell cell = cell_of(i); leaves(cell.row, k)) {
      rest = beyond(cell, k);
    } else if (const std::size_t next = beside(place, k); resistance_[next] != 0) {
      rest = cost_[next];
    }
    return rest != kUnreached && rest + step_cost(place, k) == cost_[place];
  }
  void offer(std::size_t place, std::uint64_t cost) {
    if (cost >= cost_[place]) return;
    cost_[place] = cost;
    queue_.push(cost, static_cast<std::uint32_t>(place));
  }

  std::int64_t rows_;
  std::int64_t cols_;
  std::int64_t step_[kBearings] = {};
  std::vector<std::uint32_t> cells_;
  std::vector<std::uint8_t> ways_out_;
  std::vector<std::uint64_t> cost_;
  std::vector<std::uint16_t> resistance_;
  RisingQueue<std::uint64_t, std::uint32_t> queue_;
};

BandedFlats::BandedFlats(const Bands& bands, ByteStore& directions, Notes& notes, int threads)
    : bands_(bands),
      directions_(directions),
      notes_(notes),
      threads_(threads),
      across_(static_cast<std::size_t>(bands.count())) {}

void BandedFlats::decide_falls_of(const LevelBand& band, Grid<std::uint8_t>& directions) const {
  const std::int64_t rows = band.ground.frame.rows;
  const std::int64_t cols = band.ground.frame.cols;
  const std::int64_t first = bands_.row0(band.band);
  const std::int64_t inner = std::max<std::int64_t>(rows - 2, 0);
  const Surface surface{band.ground, band.levels, no_walls_, no_drains_, first};
  base::parallel_stripes(inner, 4 * threads_, {threads_}, [&](std::int64_t begin, std::int64_t end) {
    decide_falls(surface, {begin + 1, 0, end - begin, cols}, directions);
  });
  for (const std::int64_t row : {std::int64_t{0}, rows - 1}) {
    const Strip strip(bands_, band, row);
    Grid<std::uint8_t> decided(strip.ground.frame.rows, cols, kNoGround);
    decide_falls({strip.ground, strip.levels, no_walls_, no_drains_, strip.row0}, {strip.at, 0, 1, cols},
                 decided);
    std::copy_n(&decided.at(strip.at, 0), cols, &directions.at(row, 0));
  }
}

/// Ponds that reach a row beside another band.
void BandedFlats::mark_across(const LevelBand& band, Grid<std::uint8_t>& directions) const {
  const std::int64_t rows = directions.rows();
  const std::int64_t cols = directions.cols();
  std::vector<std::uint32_t> reached;
  const auto mark = [&](std::int64_t cell) {
    if (directions[cell] != kUndecided) return;
    directions[cell] = kAcross;
    reached.push_back(static_cast<std::uint32_t>(cell));
  };
  for (const bool top : {true, false}) {
    if (top ? bands_.first(band.band) : bands_.last(band.band)) continue;
    for (std::int64_t c = 0; c < cols; ++c) mark((top ? 0 : rows - 1) * cols + c);
    while (!reached.empty()) {
      const std::int64_t cell = reached.back();
      reached.pop_back();
      const std::int64_t row = cell / cols;
      const std::int64_t col = cell - row * cols;
      for (int k = 0; k < kBearings; ++k) {
        const std::int64_t r = row + kRowStep[k];
        const std::int64_t c = col + kColStep[k];
        if (r < 0 || r >= rows || c < 0 || c >= cols) continue;
        if (band.levels.at(r, c) == band.levels[cell]) mark(r * cols + c);
      }
    }
  }
}

void BandedFlats::note_across(const LevelBand& band, const Surface& surface,
                              const Grid<std::uint8_t>& directions) {
  const std::int64_t rows = directions.rows();
  const std::int64_t cols = directions.cols();
  std::vector<std::uint32_t> cells;
  std::vector<std::uint16_t> resistances;
  std::vector<std::uint8_t> ways_out;
  for (std::int64_t cell = 0; cell < directions.cells(); ++cell) {
    if (directions[cell] != kAcross) continue;
    std::uint8_t way_out = kStops;
    for (std::uint8_t k = 0; k < kBearings; ++k) {
      const std::int64_t r = cell / cols + kRowStep[k];
      const std::int64_t c = cell % cols + kColStep[k];
      if (r < 0 || r >= rows || c < 0 || c >= cols) continue;
      if (directions.at(r, c) > kStops || band.levels.at(r, c) != band.levels[cell]) continue;
      if (way_out == kStops || length_of(k) < length_of(way_out)) way_out = k;
    }
    cells.push_back(static_cast<std::uint32_t>(cell));
    resistances.push_back(static_cast<std::uint16_t>(resistance(surface, cell)));
    ways_out.push_back(way_out);
  }
  Across& across = across_[static_cast<std::size_t>(band.band)];
  across.cells = static_cast<std::int64_t>(cells.size());
  across.waits = !cells.empty();
  across.cell = notes_.keep(cells);
  across.resistance = notes_.keep(resistances);
  across.way_out = notes_.keep(ways_out);
  cells_across_ += across.cells;
  const auto keep_rim = [&](std::int64_t row) {
    Rim rim;
    rim.level_m.assign(&band.levels.at(row, 0), &band.levels.at(row, 0) + cols);
    for (std::int64_t c = 0; c < cols; ++c) {
      rim.cost.push_back(directions.at(row, c) <= kStops ? 0 : kUnreached);
    }
    return RimPlaces{notes_.keep(rim.level_m), notes_.keep(rim.cost)};
  };
  across.top = keep_rim(0);
  across.bottom = keep_rim(rows - 1);
}

void BandedFlats::decide(const LevelBand& band) {
  Grid<std::uint8_t> directions(band.ground.frame.rows, band.ground.frame.cols, kNoGround);
  decide_falls_of(band, directions);
  mark_across(band, directions);
  const Surface surface{band.ground, band.levels, no_walls_, no_drains_, bands_.row0(band.band)};
  decide_flats(surface, threads_, directions);
  note_across(band, surface, directions);
  directions_.write(bands_.cell0(band.band), directions.data(), directions.cells());
}

BandedFlats::Rim BandedFlats::read(const RimPlaces& places) const {
  return {notes_.read<float>(places.level_m), notes_.read<std::uint64_t>(places.cost)};
}

void BandedFlats::solve(std::int64_t band) {
  Across& here = across_[static_cast<std::size_t>(band)];
  here.waits = false;
  Spread spread(bands_.rows(band), bands_.frame.cols, notes_.read<std::uint32_t>(here.cell),
                notes_.read<std::uint16_t>(here.resistance), notes_.read<std::uint8_t>(here.way_out));
  spread.top = read(here.top);
  spread.bottom = read(here.bottom);
  if (!bands_.first(band)) spread.above = read(across_[static_cast<std::size_t>(band - 1)].bottom);
  if (!bands_.last(band)) spread.below = read(across_[static_cast<std::size_t>(band + 1)].top);
  spread.run();
  std::vector<std::uint8_t> directions(static_cast<std::size_t>(bands_.cells(band)));
  directions_.read(bands_.cell0(band), directions.data(), bands_.cells(band));
  here.unreached = spread.write(directions.data());
  directions_.write(bands_.cell0(band), directions.data(), bands_.cells(band));
  const auto tell = [&](Rim& rim, const RimPlaces& places, std::int64_t row, std::int64_t beside) {
    if (!spread.update(rim, row)) return;
    notes_.change(places.cost, rim.cost);
    if (beside < 0 || beside >= bands_.count()) return;
    Across& other = across_[static_cast<std::size_t>(beside)];
    other.waits = other.cells > 0;
  };
  tell(spread.top, here.top, 0, band - 1);
  tell(spread.bottom, here.bottom, bands_.rows(band) - 1, band + 1);
}

void BandedFlats::sweep() {
  const auto waiting = [&] {
    return std::any_of(across_.begin(), across_.end(), [](const Across& a) { return a.waits; });
  };
  for (bool down = true; waiting(); down = !down) {
    ++sweeps_;
    for (std::int64_t i = 0; i < bands_.count(); ++i) {
      const std::int64_t band = down ? i : bands_.count() - 1 - i;
      if (!across_[static_cast<std::size_t>(band)].waits) continue;
      ++bands_swept_;
      solve(band);
    }
  }
  for (const Across& across : across_) {
    base::ensure(across.unreached == 0, "every flat of the water surface has a way out");
  }
}

}  // namespace curbshed::terrain
