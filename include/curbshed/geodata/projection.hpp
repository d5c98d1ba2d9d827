// The one projected coordinate system of a run. Inside curbshed all coordinates are metres: its units ×
// metres per unit.
#pragma once

#include "curbshed/base/error.hpp"
#include "curbshed/base/geometry.hpp"

#include <optional>
#include <string>

namespace curbshed::geodata {

struct Projection {
  std::string wkt;   ///< horizontal part only, WKT 2 (2019)
  std::string name;  ///< "NAD83(HARN) / …"
  std::string code;  ///< "EPSG:2994"; "" when it has none
  std::string unit;  ///< "m", "ft", "usft", or the system's own word
  double metres_per_unit = 1.0;
};

/// Reads a coordinate system from "EPSG:2994", WKT or PROJJSON. It must be projected: longitude/latitude, web
/// Mercator and systems without a place on Earth are InputErrors whose advice names the UTM zone of `centre`
/// (in the system's own units, east or longitude first) when that is given. Vertical parts are left off.
Projection read_projection(const std::string& text, const base::Where& where,
                           std::optional<base::Point> centre = std::nullopt);

/// A box in the units of `crs` (east or longitude first) as the box in metres of the run that holds it. An
/// empty `crs` stands for the projection itself, in its own unit. InputError when `crs` is no system or there
/// is no way between the two.
base::Box box_in_metres(const base::Box& box, const std::string& crs, const Projection& projection,
                        const base::Where& where);

/// The UTM zone on WGS 84 of a place, as words with its code: "WGS 84 / UTM zone 12N (EPSG:32612)".
std::string utm_zone_of(double longitude_deg, double latitude_deg);

}  // namespace curbshed::geodata
