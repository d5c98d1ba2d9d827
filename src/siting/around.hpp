// Nearest things of a kind.
#pragma once

#include "curbshed/shapes/box_index.hpp"
#include "curbshed/study/surroundings.hpp"

#include <array>
#include <memory>
#include <optional>
#include <vector>

namespace curbshed::siting {

struct Nearest {
  double distance_m = 0.0;
  const study::Thing* thing = nullptr;
};

class Around {
 public:
  explicit Around(const study::Surroundings& surroundings);

  bool knows(study::ThingKind kind) const { return surroundings_->knows(kind); }
  /// Absent when none is within `reach_m`; ties to the first thing.
  std::optional<Nearest> nearest(study::ThingKind kind, const base::Polygon& footprint, double reach_m) const;
  /// Things of a kind whose boxes meet a box, in their order.
  std::vector<const study::Thing*> near(study::ThingKind kind, const base::Box& box) const;

 private:
  const study::Surroundings* surroundings_;
  struct OfKind {
    std::vector<std::size_t> things;
    std::unique_ptr<shapes::BoxIndex> index;
  };
  std::array<OfKind, study::kThingKinds> kinds_;
};

base::Box grown(base::Box box, double by_m);
base::Box box_of(const base::Polygon& polygon);

}  // namespace curbshed::siting
