#include "siting/around.hpp"

#include "curbshed/shapes/distances.hpp"

#include <algorithm>

namespace curbshed::siting {

base::Box grown(base::Box box, double by_m) {
  box.min_x_m -= by_m;
  box.min_y_m -= by_m;
  box.max_x_m += by_m;
  box.max_y_m += by_m;
  return box;
}

base::Box box_of(const base::Polygon& polygon) {
  base::Box box;
  for (const base::Polyline& ring : polygon.rings) {
    for (const base::Point p : ring) box.add(p);
  }
  return box;
}

Around::Around(const study::Surroundings& surroundings) : surroundings_(&surroundings) {
  std::array<std::vector<base::Box>, study::kThingKinds> boxes;
  for (std::size_t i = 0; i < surroundings.things.size(); ++i) {
    const study::Thing& thing = surroundings.things[i];
    const auto kind = static_cast<std::size_t>(thing.kind);
    kinds_[kind].things.push_back(i);
    boxes[kind].push_back(base::box_of(thing.shape));
  }
  for (std::size_t kind = 0; kind < study::kThingKinds; ++kind) {
    kinds_[kind].index = std::make_unique<shapes::BoxIndex>(boxes[kind]);
  }
}

std::vector<const study::Thing*> Around::near(study::ThingKind kind, const base::Box& box) const {
  const OfKind& all = kinds_[static_cast<std::size_t>(kind)];
  std::vector<const study::Thing*> found;
  for (const std::int32_t number : all.index->meeting(box)) {
    found.push_back(&surroundings_->things[all.things[static_cast<std::size_t>(number)]]);
  }
  return found;
}

std::optional<Nearest> Around::nearest(study::ThingKind kind, const base::Polygon& footprint,
                                       double reach_m) const {
  constexpr double kFirstLook_m = 10.0;
  const base::Box box = box_of(footprint);
  for (double look_m = std::min(kFirstLook_m, reach_m);; look_m = std::min(4.0 * look_m, reach_m)) {
    Nearest best{look_m, nullptr};
    for (const study::Thing* thing : near(kind, grown(box, look_m))) {
      const double off_m = shapes::distance_m(footprint, thing->shape);
      if (off_m < best.distance_m || (off_m == best.distance_m && best.thing == nullptr))
        best = {off_m, thing};
    }
    if (best.thing != nullptr) return best;
    if (look_m >= reach_m) return std::nullopt;
  }
}

}  // namespace curbshed::siting
