// Joins curb pieces to block faces and finds the curbs near a place.
#pragma once

#include "curbshed/street/faces.hpp"

#include <map>
#include <optional>
#include <utility>

namespace curbshed::street::detail {

struct NearCurb {
  std::int32_t curb = -1;
  std::int32_t face = -1;
  double offset_m = 0.0;
};

/// Named curbs in square bins.
class CurbBins {
 public:
  CurbBins(const std::vector<terrain::CurbLine>& curbs, double bin_m);
  /// Nearest curb of another street than `own` at or within `reach_m`; ties to the first name, then the first
  /// id. A curb that comes nearer to `not_at` than to p does not count: it belongs to the face's other end.
  NearCurb other_street(base::Point p, const std::string& own, double reach_m,
                        std::optional<base::Point> not_at = std::nullopt) const;

 private:
  std::int64_t bin(double v) const;
  const std::vector<terrain::CurbLine>& curbs_;
  double bin_m_;
  std::map<std::pair<std::int64_t, std::int64_t>, std::vector<std::int32_t>> bins_;
};

/// Faces with street, side, pieces, line and length; by street, side and first end. Ends are for the caller.
std::vector<BlockFace> join_faces(const std::vector<terrain::CurbLine>& curbs, double meet_m,
                                  const CurbBins& near);

}  // namespace curbshed::street::detail
