#include "curbshed/siting/full_levels.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/shapes/distances.hpp"

#include "siting/around.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/format.h>

namespace curbshed::siting {
namespace {

using base::Point;
using study::FieldValue;
using study::ThingKind;

std::size_t at(std::int32_t node) { return static_cast<std::size_t>(node); }

Point middle_of(const base::Polygon& rectangle) {
  const base::Polyline& ring = rectangle.rings.front();
  return {0.5 * (ring[0].x_m + ring[2].x_m), 0.5 * (ring[0].y_m + ring[2].y_m)};
}

/// First part of a line, up to a length.
base::Polyline first_part(const base::Polyline& line, double most_m) {
  base::Polyline out;
  double way_m = 0.0;
  for (std::size_t i = 0; i < line.size(); ++i) {
    const double step_m = i == 0 ? 0.0 : base::distance_m(line[i - 1], line[i]);
    if (way_m + step_m > most_m) {
      out.push_back(base::point_along(line, most_m));
      break;
    }
    way_m += step_m;
    out.push_back(line[i]);
  }
  return out;
}

double to_line_m(const base::Shape& building, const base::Polyline& line) {
  double best_m = std::numeric_limits<double>::infinity();
  const base::Shape shape = line.size() < 2 ? base::point_shape(line.front()) : base::line_shape(line);
  for (const base::Polygon& part : building.polygons) {
    best_m = std::min(best_m, shapes::distance_m(part, shape));
  }
  return best_m;
}

base::Box line_box(const base::Polyline& line) {
  base::Box box;
  for (const Point p : line) {
    box.add(p);
  }
  return box;
}

struct LowGround {
  double level_m = std::numeric_limits<double>::infinity();
  Point at;
};

/// Signed area, positive when the ring turns counter-clockwise.
double turn_of(const base::Polyline& ring) {
  double sum = 0.0;
  for (std::size_t i = 0; i + 1 < ring.size(); ++i) {
    sum += ring[i].x_m * ring[i + 1].y_m - ring[i + 1].x_m * ring[i].y_m;
  }
  return sum;
}

/// Lowest ground one cell outside the walls of an outline that face a point.
void look_along(const study::StudyInputs& inputs, const base::Polyline& ring, Point toward, LowGround& low) {
  const terrain::Ground& ground = inputs.ground;
  const double cell_m = ground.frame.cell_m;
  const double outward = turn_of(ring) >= 0.0 ? 1.0 : -1.0;
  for (std::size_t i = 0; i + 1 < ring.size(); ++i) {
    const Point a = ring[i];
    const Point b = ring[i + 1];
    const double wall_m = base::distance_m(a, b);
    if (!(wall_m > 0.0)) {
      continue;
    }
    const Point out = {outward * (b.y_m - a.y_m) / wall_m, -outward * (b.x_m - a.x_m) / wall_m};
    if ((toward.x_m - a.x_m) * out.x_m + (toward.y_m - a.y_m) * out.y_m <= 0.0) {
      continue;
    }
    const auto steps = static_cast<std::int64_t>(std::ceil(2.0 * wall_m / cell_m));
    for (std::int64_t k = 0; k <= steps; ++k) {
      const double t = static_cast<double>(k) / static_cast<double>(steps);
      const Point p = {a.x_m + t * (b.x_m - a.x_m) + cell_m * out.x_m,
                       a.y_m + t * (b.y_m - a.y_m) + cell_m * out.y_m};
      const std::int64_t row = ground.frame.row_of(p.y_m);
      const std::int64_t col = ground.frame.col_of(p.x_m);
      if (!ground.frame.inside(row, col)) {
        continue;
      }
      const std::int64_t cell = ground.frame.index(row, col);
      const bool roofed = !inputs.roof.empty() && inputs.roof[cell] != 0;
      const double height_m = static_cast<double>(ground.height_m[cell]);
      if (ground.valid[cell] != 0 && !roofed && height_m < low.level_m) {
        low = {height_m, ground.frame.centre(row, col)};
      }
    }
  }
}

class Levels {
 public:
  explicit Levels(const FullInputs& in) : in_(in), around_(in.inputs->surroundings) {}

  void fill(FullSite& site) const {
    const study::ChainModel& model = in_.preparation->model;
    site.water = in_.water->levels[at(site.node)];
    const study::BasinParams& basin = model.params[at(site.node)].basin;
    site.pool = height(site.water.level_m(), site.node, {FieldValue::CurbHeight, FieldValue::GutterLevel});
    // A height below the curb's top says something only where that top is measured from the gutter, too; a
    // level of its own only where the gutter's level is.
    const study::FieldFindings& field = in_.preparation->field;
    const bool curb = field.level(site.node, FieldValue::CurbHeight) != nullptr;
    const bool gutter = field.level(site.node, FieldValue::GutterLevel) != nullptr;
    site.rim = curb && field.level(site.node, FieldValue::RimBelowCurb) != nullptr
                   ? height(basin.rim_m, site.node, {FieldValue::RimBelowCurb})
               : gutter ? height(basin.rim_m, site.node, {FieldValue::RimLevel})
                        : height(basin.rim_m, site.node, {});
    const Point cut = model.network.at[at(site.node)];
    site.rim_freeboard = less(site.rim, site.pool, base::distance_m(cut, basin.rim_at));
    find_doorway(site);
    if (site.doorway) {
      const double apart_m = site.doorway->at ? base::distance_m(cut, *site.doorway->at) : 0.0;
      site.doorway_freeboard = less(site.doorway->height, site.pool, apart_m);
    }
    look_beside_path(site);
  }

 private:
  FullHeight height(double level_m, std::int32_t node, std::initializer_list<FieldValue> measures) const {
    for (const FieldValue what : measures) {
      if (const study::MeasuredLevel* shot = in_.preparation->field.level(node, what)) {
        return {level_m, shot->error_m, LevelFrom::Measured, shot->by};
      }
    }
    return {level_m, in_.settings->ground.elevation_error_m, LevelFrom::Surface, ""};
  }

  Freeboard less(const FullHeight& a, const FullHeight& b, double apart_m) const {
    return {a.level_m - b.level_m, difference_doubt_m(a, b, apart_m, in_.settings->ground.error_range_m)};
  }

  /// Buildings near the basin, then those beside the first part of its path, each once.
  std::vector<const study::Thing*> buildings_of(const FullSite& site) const {
    const base::Polygon& footprint = in_.preparation->maps.basins[at(site.node)];
    std::vector<const study::Thing*> found;
    for (const study::Thing* one :
         around_.near(ThingKind::Building, grown(box_of(footprint), kDoorwayWithin_m))) {
      if (shapes::distance_m(footprint, one->shape) <= kDoorwayWithin_m) {
        found.push_back(one);
      }
    }
    const base::Polyline way = first_part(site.path.line, kPathLooked_m);
    for (const study::Thing* one : around_.near(ThingKind::Building, grown(line_box(way), kPathBeside_m))) {
      if (std::find(found.begin(), found.end(), one) == found.end() &&
          to_line_m(one->shape, way) <= kPathBeside_m) {
        found.push_back(one);
      }
    }
    return found;
  }

  void find_doorway(FullSite& site) const {
    if (const study::MeasuredLevel* shot =
            in_.preparation->field.level(site.node, FieldValue::DoorwayAboveCurb)) {
      const street::Network& network = in_.preparation->model.network;
      const double crest_m = network.gutter_level_m[at(site.node)] + network.curb_height_m[at(site.node)];
      const bool curb = in_.preparation->field.level(site.node, FieldValue::CurbHeight) != nullptr;
      site.doorway =
          curb ? DoorwaySide{{crest_m + shot->value_m, shot->error_m, LevelFrom::Measured, shot->by}, {}, ""}
               : DoorwaySide{{crest_m + shot->value_m,
                              std::hypot(shot->error_m, in_.settings->ground.elevation_error_m),
                              LevelFrom::Surface, shot->by},
                             {},
                             ""};
      return;
    }
    const Point toward = middle_of(in_.preparation->maps.basins[at(site.node)]);
    LowGround best;
    std::string building;
    for (const study::Thing* one : buildings_of(site)) {
      LowGround low;
      for (const base::Polygon& part : one->shape.polygons) {
        look_along(*in_.inputs, part.rings.front(), toward, low);
      }
      if (low.level_m < best.level_m) {
        best = low;
        building = one->id;
      }
    }
    if (std::isfinite(best.level_m)) {
      site.doorway = DoorwaySide{height(best.level_m, site.node, {}), best.at, building};
    }
  }

  void look_beside_path(FullSite& site) const {
    for (const study::Thing* one :
         around_.near(ThingKind::Building, grown(line_box(site.path.line), kPathBeside_m))) {
      const double off_m = to_line_m(one->shape, site.path.line);
      if (off_m <= kPathBeside_m && off_m < site.path_to_building_m.value_or(kPathBeside_m + 1.0)) {
        site.path_to_building_m = off_m;
        site.path_building = one->id;
      }
    }
  }

  FullInputs in_;
  Around around_;
};

void add(std::string& list, std::string_view what) {
  list += list.empty() ? "" : " and ";
  list += what;
}

}  // namespace

std::string_view word_of(LevelFrom from) { return from == LevelFrom::Measured ? "measured" : "surface"; }

const FullSite* FullLevels::find(std::int32_t node) const {
  const auto found = std::lower_bound(sites.begin(), sites.end(), node,
                                      [](const FullSite& site, std::int32_t n) { return site.node < n; });
  return found == sites.end() || found->node != node ? nullptr : &*found;
}

double difference_doubt_m(const FullHeight& a, const FullHeight& b, double apart_m, double error_range_m) {
  if (a.from == LevelFrom::Surface && b.from == LevelFrom::Surface) {
    const double shared = error_range_m > 0.0 ? std::exp(-apart_m / error_range_m) : 0.0;
    return std::max(a.doubt_m, b.doubt_m) * std::max(1.0, std::sqrt(2.0 * (1.0 - shared)));
  }
  return std::hypot(a.doubt_m, b.doubt_m);
}

FullLevels full_levels(const FullInputs& in, base::Workers workers) {
  base::ensure(in.water->levels.size() == in.preparation->model.network.size(), "a water level a node");
  FullLevels out;
  out.storm_id = in.water->storm_id;
  out.storm_title = in.water->storm_title;
  out.buildings_known = in.inputs->surroundings.knows(ThingKind::Building);
  for (study::OverflowPath& path : study::overflow_paths(*in.inputs, *in.preparation)) {
    FullSite site;
    site.node = path.node;
    site.path = std::move(path);
    out.sites.push_back(std::move(site));
  }
  const Levels levels(in);
  const auto count = static_cast<std::int64_t>(out.sites.size());
  base::parallel_stripes(count, std::clamp<std::int64_t>(count, 1, 64), workers,
                         [&](std::int64_t begin, std::int64_t end) {
                           for (std::int64_t i = begin; i < end; ++i) {
                             levels.fill(out.sites[static_cast<std::size_t>(i)]);
                           }
                         });
  return out;
}

std::string points_to_shoot(const FullSite& site, bool doorway) {
  std::string points;
  if (site.pool.from == LevelFrom::Surface) {
    add(points, "the gutter at the cut");
  }
  if (!doorway && site.rim.from == LevelFrom::Surface) {
    add(points, fmt::format("the lowest ground around the basin (near {:.1f}, {:.1f})",
                            site.path.line.front().x_m, site.path.line.front().y_m));
  }
  if (doorway && site.doorway && site.doorway->height.from == LevelFrom::Surface) {
    add(points, site.doorway->building.empty()
                    ? std::string("the ground at the lowest doorway near it")
                    : fmt::format("the ground at the lowest doorway of building {}", site.doorway->building));
  }
  return points;
}

}  // namespace curbshed::siting
