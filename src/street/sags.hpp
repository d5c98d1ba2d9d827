// Depressions of the ground as it is: kept as sags, or passed through.
#pragma once

#include "street/draft.hpp"

namespace curbshed::street::detail {

/// One entry a depression: 1 = kept.
std::vector<std::uint8_t> kept_depressions(const Scene& scene, const terrain::Depressions& hollows,
                                           const std::vector<Place>& places);

/// Depth at the spill level in kept depressions, 0 elsewhere.
terrain::Grid<float> standing_water(const terrain::Ground& ground, const terrain::Depressions& hollows,
                                    const std::vector<std::uint8_t>& kept);

/// Numbers of those not kept, rising: the largest by volume, of equal ones the first, at most `most`.
std::vector<std::size_t> largest_passed(const terrain::Depressions& hollows,
                                        const std::vector<std::uint8_t>& kept, std::size_t most);

/// The depressions that were not kept: all counted in notes, the largest kMostPassedListed listed by place.
std::vector<PassedDepression> passed_depressions(const Scene& scene, const terrain::Depressions& hollows,
                                                 const std::vector<std::uint8_t>& kept,
                                                 const terrain::Grid<std::int32_t>& first_receiver,
                                                 const Network& net, base::Notes& notes);

}  // namespace curbshed::street::detail
