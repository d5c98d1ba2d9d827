// Coordinates of places between the run's metres and other systems.
#pragma once

#include "curbshed/base/geometry.hpp"
#include "curbshed/geodata/projection.hpp"

#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace curbshed::geodata {

struct LongitudeLatitude {
  double longitude_deg = 0.0;  ///< east
  double latitude_deg = 0.0;   ///< north
};

/// WGS 84 (EPSG:4326) of points in the run's metres; absent where there is no way. Where the reference
/// system's datum has no known shift to WGS 84 the two may lie 1 to 2 m apart.
std::vector<std::optional<LongitudeLatitude>> longitudes_latitudes(const std::vector<base::Point>& points,
                                                                   const Projection& projection);

/// Brings single places into the run's metres.
class PlaceReader {
 public:
  /// crs: "EPSG:4326" and the like; "" = the projection's own. Longitude (east) comes first. Throws
  /// InputError when it is no coordinate system or there is no way.
  PlaceReader(const std::string& crs, const Projection& projection, const base::Where& where);
  ~PlaceReader();
  PlaceReader(const PlaceReader&) = delete;
  PlaceReader& operator=(const PlaceReader&) = delete;

  /// first, second: in the units of `crs`. Absent when they cannot be brought over.
  std::optional<base::Point> point(double first, double second) const;
  const std::string& crs_name() const { return name_; }
  /// True when the shift between the datums is not known: the place may lie 1 to 2 m off.
  bool shift_unknown() const { return shift_unknown_; }

 private:
  struct Way;
  std::unique_ptr<Way> way_;  ///< null = same system
  std::string name_;
  double metres_per_unit_ = 1.0;
  bool shift_unknown_ = false;
};

}  // namespace curbshed::geodata
