#include "curbshed/report/field_words.hpp"

#include <fmt/format.h>

namespace curbshed::report {
namespace {

using street::NodeKind;
using study::FieldValue;

std::size_t at(std::int32_t node) { return static_cast<std::size_t>(node); }

}  // namespace

FieldUnit field_unit(FieldValue what) {
  switch (what) {
    case FieldValue::Grade:
      return {"grade", "%", 100.0};
    case FieldValue::CrossSlope:
      return {"cross_slope", "%", 100.0};
    case FieldValue::CurbHeight:
      return {"curb_height", "m", 1.0};
    case FieldValue::GutterLevel:
      return {"gutter_level", "m", 1.0};
    case FieldValue::RimLevel:
    case FieldValue::RimBelowCurb:
    case FieldValue::kCount:
      return {"rim_level", "m", 1.0};
    case FieldValue::DoorwayAboveCurb:
      return {"doorway", "m", 1.0};
    case FieldValue::Infiltration:
      break;
  }
  return {"infiltration", "mm/h", 3.6e6};
}

std::string level_word(FieldValue what) {
  switch (what) {
    case FieldValue::CurbHeight:
      return "gutter below the curb's top";
    case FieldValue::GutterLevel:
      return "gutter level";
    case FieldValue::RimLevel:
      return "rim level";
    case FieldValue::RimBelowCurb:
      return "walk or rim below the curb's top";
    case FieldValue::DoorwayAboveCurb:
      return "doorway above the curb's top";
    case FieldValue::Grade:
    case FieldValue::CrossSlope:
    case FieldValue::Infiltration:
    case FieldValue::kCount:
      break;
  }
  return "";
}

std::vector<std::string> dry_sentences(const study::ChainModel& model, const study::FieldFindings& field,
                                       Units units) {
  std::vector<std::string> sentences;
  for (const study::DryCut& dry : field.dry) {
    const bool inlet = model.network.kind[at(dry.node)] == NodeKind::Inlet;
    sentences.push_back(fmt::format(
        "LOOK AGAIN: no water was seen at {} {}{} ({}), but the water of {} of ground should come by. Walk "
        "up the "
        "gutter while it rains: does it turn off at a corner or a driveway, go into a drain that is not in "
        "the "
        "data, or lie behind a dam of dirt? Until you know, do not trust the numbers of this place.",
        inlet ? "drain inlet" : "cut", model.network.id[at(dry.node)],
        dry.dates.empty() ? std::string() : fmt::format(" on {}", dry.dates), dry.by,
        show_area(dry.area_m2, units)));
  }
  return sentences;
}

std::string field_origin(const RunFacts& facts, std::int32_t node, FieldValue what,
                         std::string_view otherwise) {
  return facts.preparation->field.find(node, what) != nullptr ? "measured" : std::string(otherwise);
}

std::string water_seen_word(const RunFacts& facts, std::int32_t node) {
  bool yes = false;
  bool no = false;
  for (const study::WaterSeen& one : facts.preparation->field.water) {
    yes = yes || (one.node == node && one.seen);
    no = no || (one.node == node && !one.seen);
  }
  return yes && no ? "yes and no" : yes ? "yes" : no ? "no" : "";
}

}  // namespace curbshed::report
