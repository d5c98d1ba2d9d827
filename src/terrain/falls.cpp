#include "terrain/falls.hpp"

#include "curbshed/base/vectors.hpp"

namespace curbshed::terrain {

namespace {

constexpr double kStopsHere = 8.0;

/// The steepest offer so far, with nothing but choices between numbers, so that many cells go side by side.
struct Offers {
  double steepest = 0.0;  ///< of single neighbours; slopes are squared and times the cell size
  double bearing = kStopsHere;
  double slope2 = 0.0;
  double straight = 0.0;
  double diagonal = 0.0;
  double along = 0.0;  ///< drop to the straight neighbour of the winning facet, 0 without one
  double across = 0.0;
  double turn = 0.0;
  double tie = 0.0;
};

/// One facet: drops to its straight and its diagonal neighbour. A facet cannot beat a neighbour that is
/// steeper than its own diagonal drop.
[[gnu::always_inline]] inline void offer(Offers& best, double s1, double to_diagonal, double diagonal2,
                                         double straight, double diagonal, double turn) {
  const double s2 = to_diagonal - s1;
  const double facet2 = s1 * s1 + s2 * s2;
  double slope2 = s2 > 0.0 ? facet2 : -1.0;
  slope2 = s2 < s1 ? slope2 : -1.0;
  slope2 = 2.0 * diagonal2 < best.steepest ? -1.0 : slope2;
  best.tie = slope2 == best.slope2 ? 1.0 : best.tie;
  const bool wins = slope2 > best.slope2;
  best.tie = wins ? 0.0 : best.tie;
  best.straight = wins ? straight : best.straight;
  best.diagonal = wins ? diagonal : best.diagonal;
  best.along = wins ? s1 : best.along;
  best.across = wins ? s2 : best.across;
  best.turn = wins ? turn : best.turn;
  best.slope2 = wins ? slope2 : best.slope2;
}

[[gnu::always_inline]] inline double square_of_fall(double drop) {
  const double fall = drop > 0.0 ? drop : 0.0;
  return fall * fall;
}

}  // namespace

CURBSHED_VECTOR_CLONES
void find_falls(const float* level, std::int64_t cols, std::int64_t from, std::int64_t to,
                const double* col_turn, double row_turn, std::int32_t* directions) {
  constexpr double kNear = 8192.0;  // far more than the rounding of a number below 2^64
  for (std::int64_t c = from; c < to; ++c) {
    const float* at = level + c;
    const double here = static_cast<double>(at[0]);
    const double d0 = here - static_cast<double>(at[-cols]);
    const double d1 = here - static_cast<double>(at[-cols + 1]);
    const double d2 = here - static_cast<double>(at[1]);
    const double d3 = here - static_cast<double>(at[cols + 1]);
    const double d4 = here - static_cast<double>(at[cols]);
    const double d5 = here - static_cast<double>(at[cols - 1]);
    const double d6 = here - static_cast<double>(at[-1]);
    const double d7 = here - static_cast<double>(at[-cols - 1]);
    const double q1 = 0.5 * square_of_fall(d1);
    const double q3 = 0.5 * square_of_fall(d3);
    const double q5 = 0.5 * square_of_fall(d5);
    const double q7 = 0.5 * square_of_fall(d7);
    Offers best;
    // The lowest bearing of the steepest neighbours: only a steeper one takes its place.
    const double alone[8] = {square_of_fall(d0), q1, square_of_fall(d2), q3,
                             square_of_fall(d4), q5, square_of_fall(d6), q7};
    for (int k = 0; k < 8; ++k) {
      best.bearing = alone[k] > best.steepest ? static_cast<double>(k) : best.bearing;
      best.steepest = alone[k] > best.steepest ? alone[k] : best.steepest;
    }
    best.slope2 = best.steepest;
    const double col = col_turn[c];
    offer(best, d0, d1, q1, 0.0, 1.0, row_turn);
    offer(best, d2, d1, q1, 2.0, 1.0, col);
    offer(best, d2, d3, q3, 2.0, 3.0, col);
    offer(best, d4, d3, q3, 4.0, 3.0, row_turn);
    offer(best, d4, d5, q5, 4.0, 5.0, row_turn);
    offer(best, d6, d5, q5, 6.0, 5.0, col);
    offer(best, d6, d7, q7, 6.0, 7.0, col);
    offer(best, d0, d7, q7, 0.0, 7.0, row_turn);
    const double divisor = best.along > 0.0 ? best.along : 1.0;
    const double beyond = best.across / divisor * kTwo64 - best.turn;
    double of_facet = beyond > 0.0 ? best.diagonal : best.straight;
    const double distance = beyond > 0.0 ? beyond : -beyond;
    of_facet = distance < kNear ? static_cast<double>(kLookAgain) : of_facet;
    double direction = best.along > 0.0 ? of_facet : best.bearing;
    direction = best.tie > 0.0 ? static_cast<double>(kLookAgain) : direction;
    directions[c] = static_cast<std::int32_t>(direction);
  }
}

}  // namespace curbshed::terrain
