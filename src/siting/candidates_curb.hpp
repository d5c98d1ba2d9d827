// Curbs as rows of places, one about a cell apart, each with what forbids a cut or a basin there.
#pragma once

#include "curbshed/siting/candidates.hpp"

#include <optional>
#include <vector>

namespace curbshed::siting::detail {

struct CurbPlace {
  double along_m = 0.0;
  base::Point at;
  base::Point to_street;
  std::int32_t curb = -1;
  double along_curb_m = 0.0;
  std::int64_t gutter_cell = -1;
  double curb_height_m = 0.0;
  bool break_before = false;        ///< the curb is missing between the place before and this one
  std::optional<WhyNone> no_basin;  ///< a basin's rim may not pass here
  std::optional<WhyNone> no_cut;    ///< a cut may not stand here
};

/// Along a block face or an unnamed curb.
struct CurbRow {
  std::vector<CurbPlace> places;  ///< by along_m
};

/// Named faces first, as BlockFaces has them, then curbs without a name by their lower end.
std::vector<CurbRow> curb_rows(const CandidateInputs& inputs, const study::Settings& settings);

}  // namespace curbshed::siting::detail
