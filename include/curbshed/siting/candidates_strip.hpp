// What lies beside the curb, seen square to it from one place: strip, walk, what ends them, parking lane.
#pragma once

#include "curbshed/base/geometry.hpp"

#include <array>
#include <cstdint>
#include <optional>
#include <vector>

namespace curbshed::siting {

enum class BesideKind : std::uint8_t { Walk, Paved, Building, Lot, Parking };
inline constexpr std::size_t kBesideKinds = 5;

/// Polygons by kind. Paved: any other hard ground that is no street. Lots: private ground.
struct BesideShapes {
  std::array<std::vector<base::Polygon>, kBesideKinds> of;
  std::vector<base::Polygon>& operator[](BesideKind kind) { return of[static_cast<std::size_t>(kind)]; }
  const std::vector<base::Polygon>& operator[](BesideKind kind) const {
    return of[static_cast<std::size_t>(kind)];
  }
};

/// All distances from the curb line, square to it.
struct StripProfile {
  std::optional<double> strip_m;    ///< to what ends the strip; absent: nothing within StripLook::kFar_m
  bool walk = false;                ///< a walk ends it
  bool blocked = false;             ///< hard ground that is no walk, or a building, stands at the curb
  bool walk_at_curb = false;        ///< a walk touches the curb: it has no strip
  double walk_to_m = 0.0;           ///< far edge of that walk
  std::optional<double> behind_m;   ///< from there to the next hard ground; absent: none near
  bool behind_on_lot = false;       ///< behind that walk lies a lot
  std::optional<double> parking_m;  ///< into the street: far edge of the parking lane
};

/// Looks along rays. The order of the polygons, where their rings begin and how they turn do not matter.
class StripLook {
 public:
  static constexpr double kFar_m = 10.0;
  static constexpr double kTouches_m = 0.2;  ///< nearer than a curb is thick: it touches the curb

  explicit StripLook(const BesideShapes& shapes);
  /// `to_street`: unit vector, from the curb into the street.
  StripProfile at(base::Point curb, base::Point to_street) const;
  /// Stretches of a ray that polygons of a kind cover, by where they begin; one a polygon and crossing. A
  /// polygon none of whose edges is met within kFar_m counts as not there.
  struct Stretch {
    double from_m = 0.0;
    double to_m = 0.0;
    friend auto operator<=>(const Stretch&, const Stretch&) = default;
  };
  std::vector<Stretch> covered(BesideKind kind, base::Point from, base::Point direction) const;

 private:
  struct Side {
    base::Point a, b;  ///< the polygon lies to the left
    std::int32_t polygon = 0;
  };
  struct Entry {
    std::int64_t row = 0;
    std::int64_t col = 0;
    std::int32_t side = 0;
    friend auto operator<=>(const Entry&, const Entry&) = default;
  };
  struct Index {
    std::vector<Side> sides;
    std::vector<Entry> entries;  ///< sorted
  };
  static void add(const base::Polygon& polygon, std::int32_t number, Index& index);
  std::array<Index, kBesideKinds> index_;
};

}  // namespace curbshed::siting
