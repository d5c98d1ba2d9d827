// Block faces with what their cuts do: one side of one street between two corners.
#pragma once

#include "curbshed/report/facts.hpp"

namespace curbshed::report {

/// A line and a row for every block face, by street, side and first end: how long it is, how many cuts stand
/// on it, how much ground sends its water to it first, and for each storm what the cuts take, what spills
/// over their rims and the largest volume that comes by at one of them. Water and canopy of a mean year where
/// the study gives the months. Curbs without a street's name are on no face.
base::MapLayer block_faces_layer(const RunFacts& facts);

}  // namespace curbshed::report
