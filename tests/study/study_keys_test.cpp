#include "curbshed/study/study_keys.hpp"

#include <set>

#include <gtest/gtest.h>

namespace curbshed::study {
namespace {

TEST(StudyKeys, EachIsDeclaredOnceAndExplained) {
  std::set<std::string> seen;
  for (const StudyKey& key : study_keys()) {
    const std::string name = std::string(key.part) + "." + std::string(key.name);
    EXPECT_TRUE(seen.insert(name).second) << name;
    EXPECT_FALSE(key.doc.empty()) << name;
    EXPECT_EQ(key.doc.back(), '.') << name;
  }
  for (const LayerKey& layer : study_layers()) {
    EXPECT_TRUE(seen.insert(std::string(layer.part)).second) << layer.part;
    for (const FieldKey& field : layer.fields) {
      EXPECT_FALSE(field.doc.empty()) << layer.part << "." << field.name;
    }
  }
}

TEST(StudyKeys, DefaultsLieInTheirRange) {
  for (const StudyKey& key : study_keys()) {
    if (key.form != KeyForm::Measure) {
      continue;
    }
    const double least = base::parse_measure(key.least, key.dimension);
    const double most = base::parse_measure(key.most, key.dimension);
    EXPECT_LT(least, most) << key.part << "." << key.name;
    if (!key.fallback.empty()) {
      const double value = base::parse_measure(key.fallback, key.dimension);
      EXPECT_GE(value, least) << key.part << "." << key.name;
      EXPECT_LE(value, most) << key.part << "." << key.name;
    }
  }
}

TEST(StudyKeys, EachPartOfAKeyIsAPart) {
  std::set<std::string_view> parts = {"", "rain.storm"};
  for (const StudyPart& part : study_parts()) {
    parts.insert(part.name);
  }
  for (const StudyKey& key : study_keys()) {
    EXPECT_EQ(parts.count(key.part), 1U) << key.part;
  }
}

}  // namespace
}  // namespace curbshed::study
