#include "curbshed/street/place_words.hpp"

#include "curbshed/base/error.hpp"

#include <random>

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

//   Adobe Lane | 0 .. 90, Kiln Street, north | Lantern Street | 100 .. 190 | Cistern Street
BlockFaces two_blocks() {
  return BlockFaces(
      {piece("Kiln Street", "north", {{0, 0}, {90, 0}}), piece("Kiln Street", "north", {{100, 0}, {190, 0}}),
       piece("Kiln Street", "south", {{0, -10}, {190, -10}}), piece("Adobe Lane", "east", {{0, 2}, {0, 60}}),
       piece("Lantern Street", "west", {{90, 2}, {90, 60}}),
       piece("Lantern Street", "east", {{100, 2}, {100, 60}}),
       piece("Cistern Street", "west", {{190, 2}, {190, 60}})},
      0.5);
}

std::string refusal(const TapePlace& asked) {
  try {
    find_place(two_blocks(), asked);
  } catch (const base::InputError& error) {
    return error.what();
  }
  return "none";
}

TEST(PlaceWords, SayStreetSideDistanceAndBothCorners) {
  const BlockFaces faces = two_blocks();
  const FacePlace place = faces.place(1, 17.28);
  EXPECT_EQ(place_text(faces, place, TapeUnit::Metre),
            "Kiln Street, north side, 17.3 m from Lantern Street toward Cistern Street");
  EXPECT_EQ(place_text(faces, place, TapeUnit::Metre, 1),
            "Kiln Street, north side, 17.28 m from Lantern Street toward Cistern Street");
  EXPECT_EQ(place_text(faces, place, TapeUnit::Foot),
            "Kiln Street, north side, 56 ft 8 in from Lantern Street toward Cistern Street");
}

TEST(PlaceWords, TapesShowTenthsOfAMetreOrWholeInches) {
  EXPECT_EQ(tape_text(17.34, TapeUnit::Metre), "17.3 m");
  EXPECT_EQ(tape_text(-0.02, TapeUnit::Metre), "0.0 m");
  EXPECT_EQ(tape_text(19.0, TapeUnit::Foot), "62 ft 4 in");
  EXPECT_EQ(tape_text(-0.381, TapeUnit::Foot), "-1 ft 3 in");
  EXPECT_EQ(tape_text(19.0, TapeUnit::Foot, 1), "62.34 ft");
}

TEST(PlaceWords, SentencesAreReadBack) {
  const TapePlace place =
      parse_place(" kiln street, North Side, 17.3 m FROM Lantern Street toward Adobe Lane (near number 14) ");
  EXPECT_EQ(place.street, "kiln street");
  EXPECT_EQ(place.side, "north");
  EXPECT_NEAR(place.distance_m, 17.3, 1e-12);
  EXPECT_EQ(place.corner, "Lantern Street");
  EXPECT_EQ(place.toward, "Adobe Lane");
  const TapePlace bare = parse_place("Lane of the Sun, Upper Part, 3 ft from west end");
  EXPECT_EQ(bare.street, "Lane of the Sun, Upper Part");
  EXPECT_EQ(bare.side, "");
  EXPECT_EQ(bare.corner, "west end");
  EXPECT_EQ(bare.toward, "");
  for (const char* broken : {"", "Kiln Street", "Kiln Street 17 m from Adobe Lane", "Kiln Street, 17 m from",
                             ", 17 m from Adobe Lane", "Kiln Street, far from Adobe Lane"})
    EXPECT_THROW(parse_place(broken), base::InputError) << broken;
}

TEST(PlaceWords, LeadBackToThePlace) {
  const BlockFaces faces = two_blocks();
  std::mt19937 random(4);
  std::uniform_real_distribution<double> anywhere(0.0, 1.0);
  for (int i = 0; i < 300; ++i) {
    const auto f = static_cast<std::int32_t>(static_cast<std::size_t>(i) % faces.faces().size());
    const BlockFace& face = faces.faces()[static_cast<std::size_t>(f)];
    const double along = anywhere(random) * face.length_m;
    const FacePlace place = faces.place_at(f, along);
    for (const TapeUnit unit : {TapeUnit::Metre, TapeUnit::Foot}) {
      for (const int finer : {0, 1, 2}) {
        const double rounding_m = finer == 0 ? (unit == TapeUnit::Metre ? 0.05 : 0.0127) : 0.005;
        const FoundPlace found = find_place(faces, parse_place(place_text(faces, place, unit, finer)));
        EXPECT_EQ(found.face, f);
        EXPECT_NEAR(found.along_m, along, rounding_m + 1e-9) << "seed 4, place " << i;
      }
    }
  }
}

TEST(PlaceWords, AnUnknownStreetNamesItsNeighbours) {
  EXPECT_NE(refusal({"Kiln Stret", "north", "Adobe Lane", "", 5.0}).find("the nearest names: Kiln Street"),
            std::string::npos);
}

TEST(PlaceWords, AnUnknownSideOrCornerListsThoseThatExist) {
  EXPECT_NE(refusal({"Kiln Street", "east", "Adobe Lane", "", 5.0}).find("the sides north, south"),
            std::string::npos);
  EXPECT_NE(refusal({"Kiln Street", "", "Adobe Lane", "", 5.0}).find("none is given"), std::string::npos);
  const std::string corner = refusal({"Kiln Street", "north", "Sorrel Street", "", 5.0});
  EXPECT_NE(corner.find("has no corner with \"Sorrel Street\""), std::string::npos);
  for (const char* name : {"Adobe Lane", "Lantern Street", "Cistern Street"})
    EXPECT_NE(corner.find(name), std::string::npos);
}

TEST(PlaceWords, TwoBlocksAtOneCornerAskForTheWay) {
  const std::string which = refusal({"Kiln Street", "north", "Lantern Street", "", 5.0});
  EXPECT_NE(which.find("2 blocks fit"), std::string::npos);
  EXPECT_NE(which.find("toward Adobe Lane, Cistern Street"), std::string::npos);
  EXPECT_NEAR(find_place(two_blocks(), {"Kiln Street", "north", "Lantern Street", "Adobe Lane", 5.0}).at.x_m,
              85.0, 1e-9);
  EXPECT_NEAR(
      find_place(two_blocks(), {"kiln STREET", "North side", "lantern street", "cistern street", 5.0}).at.x_m,
      105.0, 1e-9);
  EXPECT_NE(refusal({"Kiln Street", "north", "Lantern Street", "Sorrel Street", 5.0}).find("no block"),
            std::string::npos);
}

TEST(PlaceWords, ADistanceBeyondTheBlockSaysHowLongItIs) {
  const std::string far = refusal({"Kiln Street", "north", "Adobe Lane", "", 120.0});
  EXPECT_NE(far.find("beyond the block"), std::string::npos);
  EXPECT_NE(far.find("90.0 m (295 ft 3 in)"), std::string::npos);
  EXPECT_NE(refusal({"Kiln Street", "north", "Adobe Lane", "", -3.0}).find("before the curb"),
            std::string::npos);
}

TEST(PlaceWords, WithoutStreetNamesTheErrorSaysSo) {
  const BlockFaces none({piece("", "", {{0, 0}, {90, 0}})}, 0.5);
  try {
    find_place(none, {"Kiln Street", "", "Adobe Lane", "", 1.0});
    FAIL();
  } catch (const base::InputError& error) {
    EXPECT_NE(error.met().find("no curb has a street name"), std::string::npos);
  }
}

TEST(PlaceWords, IdsSayStreetSideCornerWayAndMetres) {
  const BlockFaces faces = two_blocks();
  EXPECT_EQ(place_id(faces, faces.place(1, 17.28)), "kiln-street-north-lantern-street-east-17");
  EXPECT_EQ(place_id(faces, faces.place(0, 80.0)), "kiln-street-north-lantern-street-west-10");
  EXPECT_EQ(place_id(faces, {}), "");
}

}  // namespace
}  // namespace curbshed::street
