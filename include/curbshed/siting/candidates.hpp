// Places for further cuts along every curb, each with the basin that its room allows.
#pragma once

#include "curbshed/siting/candidates_strip.hpp"
#include "curbshed/siting/materials.hpp"
#include "curbshed/siting/room.hpp"
#include "curbshed/study/preparation.hpp"

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace curbshed::siting {

/// What the study's keys say, for the pure functions.
RoomRules room_rules(const study::Settings& settings);
ChannelRules channel_rules(const study::Settings& settings);
MaterialRules material_rules(const study::Settings& settings);
/// By cubic metre, square metre, metre, whatever `money.per` says.
Prices prices_of(const study::MoneySettings& money);
/// The basin that is asked for everywhere: the study's.
RoomAsked asked_basin(const study::Settings& settings);

enum class CandidatePlace : std::uint8_t { Strip, BehindWalk, Bulb };
/// "strip", "behind_walk", "bulb".
std::string_view place_word(CandidatePlace place);

struct CandidateSpot {
  CandidatePlace place = CandidatePlace::Strip;
  base::Point at;  ///< on the curb line
  base::Point to_street;
  std::int32_t curb = -1;
  double along_curb_m = 0.0;
  std::int64_t gutter_cell = -1;
  std::int32_t group = 0;  ///< block face, or a curb without a street's name
  double along_m = 0.0;    ///< on it
  RoomThere there;
  RoomBasin basin;
  double setback_m = 0.0;  ///< curb line to the water line; negative: in the street
  double channel_m = 0.0;  ///< covered channel, 0 = none
  double curb_height_m = 0.0;
  bool on_lot = false;  ///< behind a walk that ends at a lot: its owner decides
  std::string words;    ///< what is less than asked, and what else there is to know
};

/// Why a stretch of curb got no candidate: as its middle tells.
enum class WhyNone : std::uint8_t {
  Cut,  ///< nearer than the spacing to a cut of the user's
  Corner,
  Driveway,  ///< a driveway, ramp or other gap, or the end of the curb
  Inlet,     ///< a drain inlet, outfall or existing basin
  NoCurb,    ///< nothing to cut: flush, or under 5 cm
  Ground,    ///< ground of unknown height, or outside the place
  Bend,
  Room,  ///< neither strip nor walk nor lane has room
  kCount
};
inline constexpr std::size_t kWhyNone = static_cast<std::size_t>(WhyNone::kCount);
/// "your own cuts", "corners", …
std::string_view why_word(WhyNone why);

struct CandidatePlaces {
  std::vector<CandidateSpot> spots;  ///< by group and along it
  std::int64_t stretches = 0;        ///< of curb, each one spacing long
  std::array<std::int64_t, kWhyNone> without{};
};

struct CandidateInputs {
  const study::StudyInputs* inputs = nullptr;
  const terrain::CurbField* curbs = nullptr;
  const BesideShapes* beside = nullptr;
  std::optional<base::Box> within = {};  ///< candidates lie in here
};

/// Every curb of a block face (joined over its pieces, from its western or southern end; a curb without a
/// street's name by itself, from its lower end by x, then y) is cut into stretches one spacing long. In each
/// the place nearest to its middle counts at which a basin has room: first in the strip, then behind a walk
/// that touches the curb, then in a parking lane. Guarantees:
/// 1. Two candidates of one curb are at least half a spacing apart, a candidate and a user's cut on it a
/// whole
///    one.
/// 2. The basin's rim keeps the study's distances from gaps of the curb and from corners, and lies on known
///    ground behind straight curb (14°).
/// 3. No candidate shares a gutter cell with another or with a site.
/// 4. The order of curbs, sites and polygons and the direction of curbs do not matter.
/// Where no layer tells what ends the strip, the study's basin counts as having room across
/// (`there.strip_m` is absent).
CandidatePlaces find_candidates(const CandidateInputs& inputs, const study::Settings& settings);

/// As a site of the network and what it brings along.
street::Site site_of(const CandidateSpot& spot);
study::SiteOverrides overrides_of(const CandidateSpot& spot);

/// The basin as it is dug, and the work besides.
DugBasin dug_basin(const CandidateSpot& spot, const study::Settings& settings);
WorkBesides work_besides(const CandidateSpot& spot, const study::Settings& settings);

}  // namespace curbshed::siting
