// What stands and lies around the places for basins: read once, measured from by siting.
#pragma once

#include "curbshed/base/geometry.hpp"

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace curbshed::study {

enum class ThingKind : std::uint8_t {
  Building,
  Lot,
  Walk,
  Driveway,
  Ramp,
  Hydrant,
  Pole,
  Meter,
  Cover,
  BuriedWater,
  BuriedGas,
  BuriedSewer,
  BuriedPower,
  BuriedTelecom,
  BuriedOther,
  OverheadWire,
  Tree,
  Parking,
  AccessibleParking,
  Stop,
  Loading,
  FireLane,
  BicycleLane,
  Well,
  Septic,
  Swelling,
  Collapsing,
  Dirty,
  Hardpan,
  WaterTable,
  kCount
};
inline constexpr std::size_t kThingKinds = static_cast<std::size_t>(ThingKind::kCount);

/// As people call one: "building", "buried gas line".
std::string_view word_of(ThingKind kind);

struct Thing {
  ThingKind kind = ThingKind::kCount;
  std::string id;
  base::Shape shape;
  std::optional<double> size_m;  ///< of a tree its crown's diameter, of hardpan and water table their depth
};

/// `known` by kind: somebody looked for such things here. A kind of buried line or of ground is known only
/// where at least one is drawn: a layer that shows none may just not have asked. A kind that is known and has
/// no thing near is not there.
struct Surroundings {
  std::vector<Thing> things;
  std::array<bool, kThingKinds> known{};

  bool knows(ThingKind kind) const { return known[static_cast<std::size_t>(kind)]; }
  void set_known(ThingKind kind) { known[static_cast<std::size_t>(kind)] = true; }
};

/// A layer of things: its study key, what it holds without or by its field `kind`.
struct ThingWord {
  std::string_view word;  ///< of the field `kind`; "" = without one
  ThingKind kind = ThingKind::kCount;
};
struct ThingLayer {
  std::string_view part;
  std::vector<ThingWord> words;
  ThingKind otherwise = ThingKind::kCount;  ///< for words that are not known; kCount: set aside
  bool known_by_kind = false;               ///< a kind is known only where one is there
  std::string_view size_field;              ///< "" = none
};
/// Those that are read for siting alone; buildings, lots and walks come from the layers of the lots, too.
const std::vector<ThingLayer>& thing_layers();

/// By kind, id and place: the order of the layers must not decide between things that are equally far.
void sort_things(Surroundings& surroundings);

}  // namespace curbshed::study
