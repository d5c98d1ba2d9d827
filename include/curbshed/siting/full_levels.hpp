// When a basin is full: how high its pool can stand, how high the ground and the doorways around it are, and
// how far that is known.
#pragma once

#include "curbshed/base/parallel.hpp"
#include "curbshed/study/full_water.hpp"
#include "curbshed/study/overflow_paths.hpp"

#include <optional>
#include <string>
#include <vector>

namespace curbshed::siting {

enum class LevelFrom : std::uint8_t { Surface, Measured };
/// "surface", "measured".
std::string_view word_of(LevelFrom from);

/// A height as the elevation model counts it, metres.
struct FullHeight {
  double level_m = 0.0;
  double doubt_m = 0.0;  ///< standard error: the elevation's stated one, or the measurement's own
  LevelFrom from = LevelFrom::Surface;
  std::string by;  ///< of a measurement: "levels.csv, line 3"
};

/// A height less another, metres, signed.
struct Freeboard {
  double value_m = 0.0;
  double doubt_m = 0.0;
};

/// Ground at the lowest place beside a building's walls that face the basin.
struct DoorwaySide {
  FullHeight height;
  std::optional<base::Point> at;  ///< absent when only measured
  std::string building;           ///< its name; "" = it has none, or measured
};

struct FullSite {
  std::int32_t node = -1;
  study::FullLevel water;              ///< of the street, at its cut
  FullHeight pool;                     ///< to which the pool can rise: the water's level
  FullHeight rim;                      ///< lowest point around the basin, on the surface as it is
  std::optional<DoorwaySide> doorway;  ///< absent: no building near, or buildings are not known
  Freeboard rim_freeboard;             ///< rim − pool
  std::optional<Freeboard> doorway_freeboard;
  study::OverflowPath path;
  std::optional<double> path_to_building_m;  ///< nearest building to the path within kPathBeside_m
  std::string path_building;
};

struct FullLevels {
  std::string storm_id;
  std::string storm_title;
  bool buildings_known = false;
  std::vector<FullSite> sites;  ///< one a cut with a basin, in chain order
  const FullSite* find(std::int32_t node) const;
};

/// Buildings this near a basin, or this near the first kPathLooked_m of its overflow path, count for its
/// doorways. Ours, no source.
inline constexpr double kDoorwayWithin_m = 10.0;
inline constexpr double kPathBeside_m = 3.0;
inline constexpr double kPathLooked_m = 30.0;

/// Doubt of the difference of two heights. Both from one surface: the stated error s, or more where the two
/// places lie so far apart that they share little of it: s max(1, √(2 (1 − e^(−d/r)))), d their distance, r
/// the range of the error. Else the root of the sum of squares.
double difference_doubt_m(const FullHeight& a, const FullHeight& b, double apart_m, double error_range_m);

struct FullInputs {
  const study::Settings* settings = nullptr;
  const study::StudyInputs* inputs = nullptr;
  const study::Preparation* preparation = nullptr;
  const study::FullWater* water = nullptr;
};

/// Levels of every cut's basin. The pool's level is measured where the gutter or the curb's height was, at
/// the cut (the depth of the water on it is a formula's and has no doubt of its own); the rim where walk or
/// rim were, the doorway where a doorway was; those count instead of the surface. A gutter that was not
/// measured has the surface's error, also below a measured curb top: nobody has looked at the curb's height.
/// Doorway side: along the walls that face the basin's middle, one cell outside the outline, the lowest known
/// ground that is under no roof, of the unlowered surface. Which wall has a door is not known, so the lowest
/// side counts. Ties go to the first. Same bits for any number of workers.
FullLevels full_levels(const FullInputs& in, base::Workers workers = {});

/// What somebody must shoot before a freeboard counts as measured: "the gutter at the cut and the lowest
/// point around the basin"; "" when all is.
std::string points_to_shoot(const FullSite& site, bool doorway);

}  // namespace curbshed::siting
