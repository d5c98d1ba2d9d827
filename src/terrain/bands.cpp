#include "curbshed/terrain/bands.hpp"

#include "terrain/banded_counts.hpp"
#include "terrain/banded_flats.hpp"

#include <cmath>
#include <limits>

namespace curbshed::terrain {

namespace {

/// Depths as whole steps, so that their sum does not depend on the order.
constexpr double kStepsAMetre = 16384.0;

/// Writes level − height and adds up what stands there.
class Standing {
 public:
  explicit Standing(ByteStore& store) : store_(store) {}

  void write(std::int64_t cell0, const Ground& ground, const Grid<float>& levels) {
    const std::int64_t cols = ground.frame.cols;
    std::vector<float> row(static_cast<std::size_t>(cols));
    for (std::int64_t r = 0; r < ground.frame.rows; ++r) {
      for (std::int64_t c = 0; c < cols; ++c) {
        const bool known = ground.valid.at(r, c) != 0;
        const float deep_m = known ? levels.at(r, c) - ground.height_m.at(r, c) : 0.0F;
        row[static_cast<std::size_t>(c)] = deep_m;
        if (deep_m > 0.0F) add(deep_m);
      }
      store_.write(4 * (cell0 + r * cols), row.data(), 4 * cols);
    }
  }
  void tell(BandFacts& facts) const {
    facts.wet_cells = wet_cells_;
    facts.standing_m = static_cast<double>(steps_) / kStepsAMetre;
    facts.deepest_m = deepest_m_;
  }

 private:
  void add(float deep_m) {
    ++wet_cells_;
    steps_ += std::llround(static_cast<double>(deep_m) * kStepsAMetre);
    deepest_m_ = std::max(deepest_m_, deep_m);
  }

  ByteStore& store_;
  std::int64_t wet_cells_ = 0;
  std::int64_t steps_ = 0;
  float deepest_m_ = 0.0F;
};

}  // namespace

int bytes_a_count(const GridFrame& frame) {
  return frame.cells() <= std::numeric_limits<std::uint32_t>::max() ? 4 : 8;
}

BandFacts follow_water_in_bands(const GridFrame& frame, GroundRows& ground, const BandedResults& results,
                                const BandPlan& plan) {
  base::ensure(frame.rows > 0 && frame.cols > 0 && plan.band_rows > 0 && plan.threads > 0,
               "a raster has cells, a band has rows");
  constexpr std::int64_t kMostCells = std::int64_t{1} << 30;  // 32 bits count the cells of a band
  const Bands bands{
      frame, std::min({plan.band_rows, frame.rows, std::max(std::int64_t{1}, kMostCells / frame.cols)})};
  const std::int64_t count = bands.count();
  Notes notes(results.notes);
  std::int64_t done = 0;
  const auto advance = [&](std::int64_t band) {
    constexpr double kPasses = 4.0;
    done += bands.rows(band);
    if (plan.progress) plan.progress(static_cast<double>(done) / (kPasses * static_cast<double>(frame.rows)));
  };
  BandFacts facts;
  facts.bands = count;
  BandedFlats flats(bands, results.directions, notes, plan.threads);
  Standing standing(results.standing_m);
  {
    BandedLevels levels(bands, ground, notes, plan.threads);
    for (std::int64_t band = 0; band < count; ++band) {
      levels.down(band);
      advance(band);
    }
    for (std::int64_t band = count - 1; band >= 0; --band) {
      levels.up(band, [&](const LevelBand& one) {
        standing.write(bands.cell0(band), one.ground, one.levels);
        flats.decide(one);
      });
      advance(band);
    }
  }
  standing.tell(facts);
  flats.sweep();
  facts.cells_across = flats.cells_across();
  facts.pond_sweeps = flats.sweeps();
  facts.pond_bands = flats.bands_swept();
  BandedCounts counts(bands, results.directions, results.counts, notes, plan.threads);
  for (std::int64_t band = 0; band < count; ++band) {
    counts.down(band);
    advance(band);
  }
  for (std::int64_t band = count - 1; band >= 0; --band) {
    counts.up(band);
    advance(band);
  }
  return facts;
}

}  // namespace curbshed::terrain
