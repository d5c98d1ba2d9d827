#include "curbshed/study/surroundings.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>
#include <tuple>

namespace curbshed::study {
namespace {

using enum ThingKind;

constexpr std::array<std::string_view, kThingKinds> kWords = {"building",
                                                              "lot",
                                                              "walk",
                                                              "driveway",
                                                              "curb ramp",
                                                              "hydrant",
                                                              "pole",
                                                              "meter",
                                                              "cover",
                                                              "buried water line",
                                                              "buried gas line",
                                                              "sewer",
                                                              "buried power line",
                                                              "buried telephone line",
                                                              "buried line",
                                                              "overhead wire",
                                                              "tree",
                                                              "parking",
                                                              "accessible parking",
                                                              "bus stop",
                                                              "loading place",
                                                              "fire lane",
                                                              "bicycle lane",
                                                              "well",
                                                              "septic field",
                                                              "swelling ground",
                                                              "collapsing ground",
                                                              "dirty ground",
                                                              "hardpan",
                                                              "water table"};

ThingLayer plain(std::string_view part, ThingKind kind) { return {part, {{"", kind}}, kCount, false, ""}; }

}  // namespace

std::string_view word_of(ThingKind kind) {
  base::ensure(kind < ThingKind::kCount, "a kind of thing");
  return kWords[static_cast<std::size_t>(kind)];
}

const std::vector<ThingLayer>& thing_layers() {
  static const std::vector<ThingLayer> layers = {
      plain("street.walks", Walk),
      plain("street.driveways", Driveway),
      plain("street.ramps", Ramp),
      plain("street.hydrants", Hydrant),
      plain("street.poles", Pole),
      plain("street.meters", Meter),
      plain("street.covers", Cover),
      {"street.buried_lines",
       {{"water", BuriedWater},
        {"gas", BuriedGas},
        {"sewer", BuriedSewer},
        {"power", BuriedPower},
        {"telecom", BuriedTelecom},
        {"other", BuriedOther}},
       BuriedOther,
       true,
       ""},
      plain("street.overhead_wires", OverheadWire),
      {"street.curb_space",
       {{"parking", Parking},
        {"accessible_parking", AccessibleParking},
        {"stop", Stop},
        {"loading", Loading},
        {"fire_lane", FireLane},
        {"bicycle_lane", BicycleLane}},
       kCount,
       false,
       ""},
      {"trees.existing", {{"", Tree}}, kCount, false, "crown"},
      {"lots.wells", {{"", Well}, {"well", Well}, {"septic", Septic}}, kCount, true, ""},
      {"soil.hazards",
       {{"swelling", Swelling},
        {"collapsing", Collapsing},
        {"dirty", Dirty},
        {"hardpan", Hardpan},
        {"water_table", WaterTable}},
       kCount,
       true,
       "depth"},
  };
  return layers;
}

void sort_things(Surroundings& surroundings) {
  struct Key {
    ThingKind kind;
    std::string id;
    std::array<double, 4> box;
    std::size_t thing;
  };
  std::vector<Key> keys;
  for (std::size_t i = 0; i < surroundings.things.size(); ++i) {
    const Thing& thing = surroundings.things[i];
    const base::Box box = base::box_of(thing.shape);
    keys.push_back({thing.kind, thing.id, {box.min_x_m, box.min_y_m, box.max_x_m, box.max_y_m}, i});
  }
  std::stable_sort(keys.begin(), keys.end(), [](const Key& a, const Key& b) {
    return std::tie(a.kind, a.id, a.box) < std::tie(b.kind, b.id, b.box);
  });
  std::vector<Thing> sorted;
  sorted.reserve(keys.size());
  for (const Key& key : keys) {
    sorted.push_back(std::move(surroundings.things[key.thing]));
  }
  surroundings.things = std::move(sorted);
}

}  // namespace curbshed::study
