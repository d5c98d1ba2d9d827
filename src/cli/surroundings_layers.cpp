#include "curbshed/cli/surroundings_layers.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace curbshed::cli {
namespace {

using study::Thing;
using study::ThingKind;

ThingKind kind_of(const study::ThingLayer& layer, const std::string& word) {
  for (const study::ThingWord& one : layer.words) {
    if (one.word == word) return one.kind;
  }
  return layer.otherwise;
}

bool has_kinds(const study::ThingLayer& layer) { return layer.words.size() > 1; }

Thing thing_of(const study::ThingLayer& kind, const StudyLayer& layer, std::size_t row, SitePlaces& places) {
  Thing thing;
  thing.id = layer.id(row);
  const std::string word = has_kinds(kind) ? layer.text(row, "kind") : std::string();
  thing.kind = kind_of(kind, word);
  if (thing.kind == ThingKind::kCount) {
    throw base::InputError({},
                           word.empty()
                               ? "the feature has no kind"
                               : fmt::format("the kind \"{}\" is not one of ours and not in `classes`", word),
                           "", "");
  }
  if (!kind.size_field.empty()) thing.size_m = layer.measure(row, kind.size_field);
  thing.shape = layer.shape(row);
  if (thing.shape.kind == base::ShapeKind::None) thing.shape = base::point_shape(places.of(layer, row));
  return thing;
}

}  // namespace

bool layer_given(const study::Settings& settings, std::string_view part) {
  study::Settings copy = settings;  // the table's accessors want a settings object that may be written to
  const auto& keys = study::study_layers();
  const auto key =
      std::find_if(keys.begin(), keys.end(), [&](const study::LayerKey& one) { return one.part == part; });
  base::ensure(key != keys.end(), "a layer of the key table");
  return key->source(copy)->given();
}

void add_things(const study::ThingLayer& kind, StudyLayer& layer, SitePlaces& places,
                study::Surroundings& out) {
  for (std::size_t row = 0; row < layer.rows(); ++row) {
    try {
      out.things.push_back(thing_of(kind, layer, row, places));
      out.set_known(out.things.back().kind);
    } catch (const base::InputError& error) {
      layer.set_aside(row, error.met());
    }
  }
  if (kind.known_by_kind) return;
  for (const study::ThingWord& one : kind.words) out.set_known(one.kind);
}

}  // namespace curbshed::cli
