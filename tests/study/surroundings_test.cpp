#include "curbshed/study/surroundings.hpp"

#include "curbshed/study/study_keys.hpp"

#include <algorithm>
#include <set>

#include <gtest/gtest.h>

namespace curbshed::study {
namespace {

TEST(Surroundings, EveryKindHasAWordAndALayer) {
  std::set<std::string_view> words;
  std::set<ThingKind> read = {ThingKind::Building, ThingKind::Lot};  // by the layers of the lots
  for (const ThingLayer& layer : thing_layers()) {
    for (const ThingWord& one : layer.words) read.insert(one.kind);
  }
  for (std::size_t i = 0; i < kThingKinds; ++i) {
    const auto kind = static_cast<ThingKind>(i);
    EXPECT_FALSE(word_of(kind).empty());
    EXPECT_TRUE(words.insert(word_of(kind)).second) << word_of(kind);
    EXPECT_EQ(read.count(kind), 1U) << word_of(kind);
  }
}

TEST(Surroundings, LayersAndTheirWordsAreThoseOfTheKeyTable) {
  for (const ThingLayer& layer : thing_layers()) {
    const auto& keys = study_layers();
    const auto key =
        std::find_if(keys.begin(), keys.end(), [&](const LayerKey& one) { return one.part == layer.part; });
    ASSERT_NE(key, keys.end()) << layer.part;
    std::vector<std::string_view> words;
    for (const ThingWord& one : layer.words) {
      if (!one.word.empty()) words.push_back(one.word);
    }
    EXPECT_EQ(key->classes, words) << layer.part;
    if (layer.size_field.empty()) continue;
    EXPECT_TRUE(std::any_of(key->fields.begin(), key->fields.end(),
                            [&](const FieldKey& field) { return field.name == layer.size_field; }));
  }
}

}  // namespace
}  // namespace curbshed::study
