#include "curbshed/base/notes.hpp"

#include <set>

#include <gtest/gtest.h>

namespace curbshed::base {
namespace {

TEST(Notes, CountKeepTheWorstAndTheFirstFeature) {
  Notes notes;
  notes.add(NoteId::PeakRises, 0.1, "B");
  notes.add(NoteId::PeakRises, -0.4, "A");
  notes.add(NoteId::PeakRises, 0.2, "C", 3);
  EXPECT_EQ(notes.at(NoteId::PeakRises).count, 5);
  EXPECT_DOUBLE_EQ(notes.at(NoteId::PeakRises).worst, -0.4);
  EXPECT_EQ(notes.at(NoteId::PeakRises).first_feature, "B");
  EXPECT_FALSE(notes.has(NoteId::SagKept));
}

TEST(Notes, MergingGivesTheSameInAnyOrderButForTheFirstFeature) {
  Notes a;
  a.add(NoteId::SagKept, 0.3, "x");
  Notes b;
  b.add(NoteId::SagKept, -0.3);
  b.add(NoteId::CutSnapped, 1.0, "cut 1");
  Notes ab = a;
  ab.merge(b);
  Notes ba = b;
  ba.merge(a);
  for (const NoteId id : {NoteId::SagKept, NoteId::CutSnapped, NoteId::PeakRises}) {
    EXPECT_EQ(ab.at(id).count, ba.at(id).count);
    EXPECT_EQ(ab.at(id).worst, ba.at(id).worst);
  }
  EXPECT_EQ(ba.at(NoteId::SagKept).first_feature, "x");
}

TEST(Notes, EveryNoteHasAKeyOfItsOwn) {
  std::set<std::string_view> keys;
  for (std::size_t i = 0; i < kNoteCount; ++i) {
    keys.insert(note_text(static_cast<NoteId>(i)).key);
  }
  EXPECT_EQ(keys.size(), kNoteCount);
}

}  // namespace
}  // namespace curbshed::base
