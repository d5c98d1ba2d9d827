#include "curbshed/street/faces.hpp"

#include <algorithm>
#include <cmath>

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

base::Polyline arc(double cx, double cy, double r, double from_deg, double to_deg) {
  base::Polyline line;
  for (int i = 0; i <= 16; ++i) {
    const double a = (from_deg + (to_deg - from_deg) * i / 16.0) * 3.14159265358979323846 / 180.0;
    line.push_back({cx + r * std::cos(a), cy + r * std::sin(a)});
  }
  return line;
}

/// The block north of Kiln Street with round corners of radius r: the curb faces lie on x = 0, x = 100, y =
/// 0.
std::vector<terrain::CurbLine> round_block(double r, bool whole_return = false) {
  base::Polyline kiln = arc(r, r, r, whole_return ? 180 : 225, 270);
  const base::Polyline east = arc(100 - r, r, r, 270, whole_return ? 360 : 315);
  kiln.insert(kiln.end(), east.begin(), east.end());
  base::Polyline lantern = {{0, 80}};
  base::Polyline cistern = {{100, 80}};
  if (whole_return) {
    lantern.push_back({0, r});
    cistern.push_back({100, r});
  } else {
    const base::Polyline west = arc(r, r, r, 180, 225);
    lantern.insert(lantern.end(), west.begin(), west.end());
    const base::Polyline far = arc(100 - r, r, r, 0, -45);
    cistern.insert(cistern.end(), far.begin(), far.end());
  }
  return {piece("Kiln Street", "north", kiln), piece("Lantern Street", "east", lantern),
          piece("Cistern Street", "west", cistern)};
}

TEST(Faces, DistanceRunsThroughDriveways) {
  const BlockFaces faces(block(), 0.5);
  const FacePlace beyond = faces.place(2, 3.0);  // x = 47
  EXPECT_EQ(beyond.from, "Lantern Street");
  EXPECT_EQ(beyond.toward, "Cistern Street");
  EXPECT_NEAR(beyond.distance_m, 47.0, 1e-9);
  const FacePlace far = faces.place(2, 30.0);  // x = 74
  EXPECT_EQ(far.from, "Cistern Street");
  EXPECT_NEAR(far.distance_m, 26.0, 1e-9);
  EXPECT_NEAR(faces.place(1, 1.0).distance_m, 43.0, 1e-9) << "in the driveway, drawn backwards";
}

TEST(Faces, OrderAndDirectionOfPiecesDoNotMatter) {
  std::vector<terrain::CurbLine> turned = block();
  std::reverse(turned.begin(), turned.end());
  for (terrain::CurbLine& line : turned) std::reverse(line.line.begin(), line.line.end());
  const BlockFaces faces(turned, 0.5);
  const FacePlace here = faces.place(3, 56.0 - 3.0);
  EXPECT_EQ(here.from, "Lantern Street");
  EXPECT_NEAR(here.distance_m, 47.0, 1e-9);
  ASSERT_EQ(faces.faces().size(), BlockFaces(block(), 0.5).faces().size());
  for (std::size_t f = 0; f < faces.faces().size(); ++f) {
    EXPECT_EQ(faces.faces()[f].street, BlockFaces(block(), 0.5).faces()[f].street);
    EXPECT_EQ(faces.faces()[f].ends[0].name, BlockFaces(block(), 0.5).faces()[f].ends[0].name);
  }
}

TEST(Faces, ADrivewayThatWasNotDrawnDoesNotEndTheFace) {
  std::vector<terrain::CurbLine> open = block();
  open.erase(open.begin() + 1);
  const BlockFaces faces(open, 0.5);
  EXPECT_NEAR(faces.place(1, 3.0).distance_m, 47.0, 1e-9);
  EXPECT_EQ(faces.place(1, 3.0).from, "Lantern Street");
}

TEST(Faces, TheMouthOfAStreetEndsTheFace) {
  // Two blocks of one street, 10 m apart, with a street between them.
  const BlockFaces faces(
      {piece("Kiln Street", "north", {{0, 0}, {40, 0}}), piece("Kiln Street", "north", {{50, 0}, {100, 0}}),
       piece("Lantern Street", "west", {{40, 0}, {40, 60}}),
       piece("Lantern Street", "east", {{50, 0}, {50, 60}})},
      0.5);
  EXPECT_NE(faces.place(0, 20.0).face, faces.place(1, 20.0).face);
  EXPECT_EQ(faces.place(1, 20.0).from, "Lantern Street");
  EXPECT_NEAR(faces.place(1, 20.0).distance_m, 20.0, 1e-9);
}

TEST(Faces, AShortStubHasNoCornerAtItsFarEnd) {
  const BlockFaces faces({piece("Kiln Street", "north", {{80, 0}, {100, 0}}),
                          piece("Cistern Street", "west", {{100, 0}, {100, 60}})},
                         0.5);
  EXPECT_EQ(faces.faces()[1].ends[0].name, "west end");
  EXPECT_EQ(faces.faces()[1].ends[1].name, "Cistern Street");
  EXPECT_EQ(faces.place(0, 3.0).from, "Cistern Street");
}

TEST(Faces, WithoutACrossStreetTheWesternEndCounts) {
  const BlockFaces faces({piece("Kiln Street", "north", {{100, 0}, {0, 0}})}, 0.5);
  const FacePlace here = faces.place(0, 70.0);
  EXPECT_EQ(here.from, "");
  EXPECT_NEAR(here.distance_m, 30.0, 1e-9);
  EXPECT_EQ(faces.faces()[0].ends[0].name, "west end");
  EXPECT_EQ(faces.faces()[0].ends[1].name, "east end");
  EXPECT_EQ(faces.faces()[0].ends[0].heading, "east");
}

TEST(Faces, APlaceBeyondThePieceIsClamped) {
  EXPECT_NEAR(BlockFaces(block(), 0.5).place(0, -5.0).distance_m, 0.0, 1e-9);
}

TEST(Faces, TheTapeStartsWhereTheStraightCurbsMeetWhateverTheCorner) {
  for (const bool whole : {false, true}) {
    for (const double r : {3.0, 6.0, 9.0}) {
      const std::vector<terrain::CurbLine> curbs = round_block(r, whole);
      const BlockFaces faces(curbs, 0.5);
      const base::LinePlace at = base::nearest_place(curbs[0].line, {30.0, 0.0});
      const FacePlace here = faces.place(0, at.along_m);
      EXPECT_EQ(here.from, "Lantern Street");
      EXPECT_NEAR(here.distance_m, 30.0, 0.01) << "radius " << r << (whole ? ", whole return" : "");
      const FaceEnd& end = faces.faces()[static_cast<std::size_t>(here.face)].ends[0];
      EXPECT_TRUE(end.at_crossing);
      EXPECT_NEAR(base::distance_m(end.tape_start, {0.0, 0.0}), 0.0, 0.01);
    }
  }
}

TEST(Faces, AroundTheCornerTheTapeRunsAlongTheCurb) {
  const std::vector<terrain::CurbLine> curbs = round_block(6.0, true);
  const BlockFaces faces(curbs, 0.5);
  const double quarter = 0.5 * 3.14159265358979323846 * 6.0;
  EXPECT_NEAR(faces.place(0, 0.0).distance_m, 6.0 - quarter, 0.03);
  EXPECT_LT(faces.place(0, 0.0).distance_m, 0.0);
}

TEST(Faces, SlantedCornersAreMeasuredFromTheirOwnCrossing) {
  // Lantern Street leaves at 60°; its curb line meets Kiln Street's at x = 0.
  const double c = std::cos(60.0 * 3.14159265358979323846 / 180.0);
  const double s = std::sin(60.0 * 3.14159265358979323846 / 180.0);
  const BlockFaces faces({piece("Kiln Street", "north", {{8, 0}, {100, 0}}),
                          piece("Lantern Street", "east", {{8 * c, 8 * s}, {80 * c, 80 * s}})},
                         0.5);
  EXPECT_NEAR(faces.place(0, 22.0).distance_m, 30.0, 1e-6);
}

TEST(Faces, WhereTheCurbsRunAlikeTheTapeStartsAtTheCurbsEnd) {
  const BlockFaces faces(
      {piece("Kiln Street", "north", {{0, 0}, {100, 0}}), piece("Kiln Road", "north", {{-3, 0}, {-80, 1}})},
      0.5);
  EXPECT_EQ(faces.place(0, 22.0).from, "Kiln Road");
  EXPECT_NEAR(faces.place(0, 22.0).distance_m, 22.0, 1e-9);
  EXPECT_FALSE(faces.faces()[1].ends[0].at_crossing);
}

TEST(Faces, ARingIsOneFace) {
  base::Polyline ring = arc(0, 0, 10, 0, 180);
  base::Polyline rest = arc(0, 0, 10, 180, 360);
  const BlockFaces faces({piece("Sorrel Circle", "inner", rest), piece("Sorrel Circle", "inner", ring)}, 0.5);
  ASSERT_EQ(faces.faces().size(), 1U);
  EXPECT_EQ(faces.faces()[0].pieces.size(), 2U);
}

TEST(Faces, CurbsWithoutAStreetHaveNoFace) {
  const BlockFaces faces({piece("", "", {{0, 0}, {10, 0}})}, 0.5);
  EXPECT_EQ(faces.place(0, 3.0).face, -1);
  EXPECT_TRUE(faces.of_street("").empty());
}

}  // namespace
}  // namespace curbshed::street
