// Where a feature stands: by its shape, coordinates, or words.
#pragma once

#include "curbshed/cli/study_layer.hpp"
#include "curbshed/geodata/coordinates.hpp"
#include "curbshed/street/place_words.hpp"

#include <map>
#include <memory>
#include <optional>

namespace curbshed::cli {

/// Reads places of points layers. A feature without a shape says its place in one of these ways; of several
/// each must lead to within `agree_m` of the first:
/// x, y (in the layer's `crs`, else the elevation model's) · longitude, latitude (WGS 84) · place ("Kiln
/// Street, north side, 17.3 m from Lantern Street toward Adobe Lane", as our tables write it) · street, side,
/// corner, distance, and toward where two blocks meet at the corner.
class SitePlaces {
 public:
  SitePlaces(const geodata::Projection& projection, const std::vector<terrain::CurbLine>& curbs,
             double cell_m, double agree_m);

  /// InputError that names the feature: no place, half a place, ways that do not agree, words that lead
  /// nowhere.
  base::Point of(const StudyLayer& layer, std::size_t row);
  const base::Notes& notes() const { return notes_; }

 private:
  struct Way {
    const char* name;
    base::Point at;
  };
  std::optional<base::Point> by_pair(const StudyLayer& layer, std::size_t row, const char* first,
                                     const char* second, const std::string& crs);
  std::optional<base::Point> by_sentence(const StudyLayer& layer, std::size_t row);
  std::optional<base::Point> by_tape(const StudyLayer& layer, std::size_t row);
  const street::BlockFaces& faces();
  const geodata::PlaceReader& reader(const std::string& crs, const StudyLayer& layer);

  const geodata::Projection& projection_;
  const std::vector<terrain::CurbLine>& curbs_;
  double cell_m_;
  double agree_m_;
  std::optional<street::BlockFaces> faces_;
  std::map<std::string, std::unique_ptr<geodata::PlaceReader>> readers_;
  base::Notes notes_;
};

}  // namespace curbshed::cli
