// What stands on the street: places that take water or end a gutter, as the user gave them.
#pragma once

#include "curbshed/base/geometry.hpp"

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace curbshed::street {

/// Basin: one that is there already, behind a curb that is open.
enum class SiteKind : std::uint8_t { Cut, Inlet, Outfall, Basin };

/// A place given by hand (cut, outfall: an error names it when it cannot be used) or in bulk (inlet: set
/// aside).
struct Site {
  SiteKind kind = SiteKind::Cut;
  std::string id;  ///< as given, unique among its kind; "" = its own id, from where it is
  base::Point at;
  std::string source;                 ///< "file:layer", for messages
  std::optional<double> grade;        ///< field value that overrides the fit, fraction
  std::optional<double> cross_slope;  ///< field value that overrides the fit, fraction
};

}  // namespace curbshed::street
