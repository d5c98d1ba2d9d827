// Levels stripe by stripe: what lies inside a stripe is settled there, and only the basins at its rim and at
// walls meet in one graph.
#pragma once

#include "terrain/basin_graph.hpp"

namespace curbshed::terrain {

class BasinStripes {
 public:
  /// Stripes of the plan's tile rows, else as many rows as stay close to the processor.
  BasinStripes(const Ground& ground, const Walls& walls, const Grid<std::uint8_t>& drains,
               const WorkPlan& plan);
  Grid<float> levels();

 private:
  struct Stripe {
    std::int64_t row0 = 0;
    std::int64_t rows = 0;
    std::uint32_t terminals = 0;
    std::uint32_t before = 0;  ///< terminals of the stripes before
    std::vector<Onward> onward;
    Settled settled;  ///< by the stripe's own labels and terminals
    /// The number that a terminal has in the whole raster.
    std::uint32_t global(std::uint32_t terminal) const {
      return terminal == kOutside ? 0 : before + terminal;
    }
  };

  void settle(Stripe& stripe);
  std::vector<std::uint32_t> find_terminals(Stripe& stripe, std::uint32_t labels) const;
  std::vector<Pass> passes_inside(const Stripe& stripe) const;
  std::vector<Pass> passes_below(std::size_t stripe) const;
  static std::vector<Pass> take_passes(Stripe& stripe);
  std::vector<float> solve();
  void raise(const Stripe& stripe, const std::vector<float>& spill);
  template <class Body>
  void each_crest(std::int64_t row0, std::int64_t rows, Body body) const;
  std::size_t stripe_of(std::int64_t row) const { return static_cast<std::size_t>(row / stripe_rows_); }
  std::uint32_t terminal_at(std::int64_t cell) const;

  const Ground& ground_;
  const Walls& walls_;
  const Grid<std::uint8_t>& drains_;
  int threads_;
  std::int64_t stripe_rows_;
  std::vector<Stripe> stripes_;
  Grid<float> levels_;  ///< labels of the cells' stripes, then levels
};

}  // namespace curbshed::terrain
