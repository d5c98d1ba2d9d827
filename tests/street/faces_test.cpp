#include "curbshed/street/faces.hpp"

#include <algorithm>

#include <gtest/gtest.h>

namespace curbshed::street {
namespace {

terrain::CurbLine piece(const char* street, const char* side, base::Polyline line) {
  terrain::CurbLine out;
  out.street = street;
  out.side = side;
  out.line = std::move(line);
  return out;
}

//  Lantern Street   Kiln Street, north side: 0 .. 40, driveway 40 .. 44, 44 .. 100   Cistern Street
std::vector<terrain::CurbLine> block() {
  return {piece("Kiln Street", "north", {{0, 0}, {40, 0}}),
          piece("Kiln Street", "north", {{44, 0}, {40, 0}}),
          piece("Kiln Street", "north", {{44, 0}, {100, 0}}),
          piece("Lantern Street", "east", {{0, 0}, {0, 60}}),
          piece("Cistern Street", "west", {{100, 0}, {100, 60}}),
          piece("Kiln Street", "south", {{0, -10}, {100, -10}})};
}

TEST(Faces, DistanceRunsThroughDriveways) {
  const FacePlace beyond = place_on_face(block(), 2, 3.0, 0.5);  // x = 47
  EXPECT_EQ(beyond.from, "Lantern Street");
  EXPECT_EQ(beyond.toward, "Cistern Street");
  EXPECT_NEAR(beyond.distance_m, 47.0, 1e-9);
  const FacePlace far = place_on_face(block(), 2, 30.0, 0.5);  // x = 74
  EXPECT_EQ(far.from, "Cistern Street");
  EXPECT_NEAR(far.distance_m, 26.0, 1e-9);
  EXPECT_NEAR(place_on_face(block(), 1, 1.0, 0.5).distance_m, 43.0, 1e-9)
      << "in the driveway, drawn backwards";
}

TEST(Faces, OrderAndDirectionOfPiecesDoNotMatter) {
  std::vector<terrain::CurbLine> turned = block();
  std::reverse(turned.begin(), turned.end());
  for (terrain::CurbLine& line : turned) std::reverse(line.line.begin(), line.line.end());
  const FacePlace here = place_on_face(turned, 3, 56.0 - 3.0, 0.5);
  EXPECT_EQ(here.from, "Lantern Street");
  EXPECT_NEAR(here.distance_m, 47.0, 1e-9);
}

TEST(Faces, WithoutACrossStreetTheWesternEndCounts) {
  const std::vector<terrain::CurbLine> lone{piece("Kiln Street", "north", {{100, 0}, {0, 0}})};
  const FacePlace here = place_on_face(lone, 0, 30.0, 0.5);
  EXPECT_EQ(here.from, "");
  EXPECT_NEAR(here.distance_m, 70.0, 1e-9);
}

TEST(Faces, APlaceBeyondThePieceIsClamped) {
  EXPECT_NEAR(place_on_face(block(), 0, -5.0, 0.5).distance_m, 0.0, 1e-9);
}

}  // namespace
}  // namespace curbshed::street
