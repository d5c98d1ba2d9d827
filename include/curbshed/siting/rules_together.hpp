// Rules taken together: the least basin that they ask for, and what they admit in a strip.
#pragma once

#include "curbshed/siting/rules.hpp"

#include <optional>
#include <string>

namespace curbshed::siting {

/// From the gutter's level down to the mulch at the mouth: water must fall in (Washington State LID Technical
/// Guidance Manual, 4.4.2.2: flow entrance drops 2 to 3 in).
inline constexpr double kEntranceDrop_m = 0.0508;
/// Strips between curb and walk are 3 to 12 ft wide (common practice, no source): a basin that needs more
/// than this has no place beside any street.
inline constexpr double kWidestStrip_m = 3.6576;

/// Parts of the width that a basin needs, metres; from the limits of the rules that are on.
struct LeastWidth {
  double before_m = 0.0;    ///< back of the curb (also road base), or step-out beside parked cars
  double side_slope = 0.0;  ///< across for one down
  double ponding_m = 0.0;
  double floor_m = 0.0;
  double shelf_m = 0.0;
  /// before + 2 × side slope × (ponding + drop) + floor + shelf.
  double total_m() const;
  /// That sum with its numbers, in feet and inches of the usual trade: "1 ft + 2 × 2 × (3 in + 2 in) + …".
  std::string words() const;
};

/// At the least ponding that the rules ask for.
LeastWidth least_width(const RuleSet& rules, bool beside_parking);

/// What the rules admit in a strip of this width: the deepest ponding, absent where not even the least fits.
struct Admitted {
  LeastWidth width;  ///< with that ponding
  double ponding_m = 0.0;
};
std::optional<Admitted> admitted_in(const RuleSet& rules, double strip_m, bool beside_parking);
/// "A strip of 6 ft holds a basin 5.6 in deep with sides of 2 to 1 …", for people.
std::string admitted_words(const RuleSet& rules, double strip_m);

/// InputError with the arithmetic, the file and the line of the row that asks for most when the rules leave
/// no basin in a strip of kWidestStrip_m, or ask for more ponding than they allow.
void check_together(const RuleSet& rules);

}  // namespace curbshed::siting
