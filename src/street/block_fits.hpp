// Width, middle and fall of each block, from its attributes, the ground and its class.
#pragma once

#include "street/street_blocks.hpp"

namespace curbshed::street::detail {

/// Fills every StreetBlock of the net.
void fit_blocks(const terrain::Ground& ground, const CentrelineSettings& settings, BlockNet& net);

/// Round end of a cul-de-sac.
struct Bulb {
  base::Point middle;
  double radius_m = 0.0;
  bool shown = false;  ///< by the ground
};
/// At a dead end: what the ground shows all around it, else the default for class CulDeSac, else nothing.
std::optional<Bulb> bulb_at(const terrain::Ground& ground, const CentrelineSettings& settings,
                            const StreetBlock& block, int end);

}  // namespace curbshed::street::detail
