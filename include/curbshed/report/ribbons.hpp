// The gutter ribbon: each street side drawn straight, as a tape measure follows it.
#pragma once

#include "curbshed/report/facts.hpp"

#include <string>
#include <vector>

namespace curbshed::report {

/// A place on a ribbon and the water there in one storm.
struct RibbonPlace {
  std::int32_t node = -1;
  double along_m = 0.0;      ///< from the ribbon's upper end, down the gutter
  double arriving_m3 = 0.0;  ///< with cuts
  double leaving_m3 = 0.0;   ///< with cuts: passed on down the gutter
  double kept_m3 = 0.0;      ///< what the basin behind it holds of it
  double arriving_before_m3 = 0.0;
  double leaving_before_m3 = 0.0;
};

/// Places along one side of one street, upstream to downstream.
struct Ribbon {
  std::string street;  ///< "" where the curb has no name
  std::string side;
  double length_m = 0.0;  ///< from the upper end of its gutter to the last place
  double head_m3 = 0.0;   ///< that comes round the corner to its upper end, with cuts
  double head_before_m3 = 0.0;
  std::vector<RibbonPlace> places;
  std::int32_t downstream = -1;  ///< node that its water reaches next
  bool in_sag = false;           ///< the place stands in a pond: no gutter leads to it
  std::string between;           ///< "Cistern Street and Lantern Street"; "" where no cross street is known
};

/// Every chain of places on one street side with at least one cut, in the order of street, side and length;
/// a chain that turns a corner goes on as another ribbon.
std::vector<Ribbon> ribbons_of(const RunFacts& facts, const study::StormComparison& storm);

/// The ribbon as an SVG element. Its band is as thick as the room allows: `most_m3` is drawn at full
/// thickness; `most_m` is drawn over the full width.
std::string ribbon_svg(const RunFacts& facts, const Ribbon& ribbon, double most_m3, double most_m,
                       Units units);

/// Largest volume on it, without or with the cuts.
double thickest_m3(const Ribbon& ribbon);
double longest_m(const std::vector<Ribbon>& ribbons);

}  // namespace curbshed::report
