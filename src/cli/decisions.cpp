#include "curbshed/cli/decisions.hpp"

#include <algorithm>
#include <array>
#include <string_view>

#include <fmt/format.h>

namespace curbshed::cli {
namespace {

/// What may be at hand; each need is one bit.
enum Need : unsigned {
  kNothing = 0U,
  kFineGround = 1U,    ///< cells of at most 1 m
  kDrawnCurbs = 2U,    ///< curbs or pavement that somebody drew
  kRoofs = 4U,         ///< buildings or surfaces
  kLotCover = 8U,      ///< lots or surfaces
  kInlets = 16U,       ///< drain inlets
  kOwnRain = 32U,      ///< both storms are the place's
  kMeasuredSoak = 64U  ///< infiltration measured on the site
};

struct Missing {
  unsigned need;
  std::string_view words;
};
constexpr std::array<Missing, 7> kMissing = {{
    {kFineGround, "cells of 1 m or less, which show the crown of a street"},
    {kDrawnCurbs, "curbs or pavement (here they were made from the middle lines of streets)"},
    {kRoofs, "buildings or surfaces"},
    {kLotCover, "lots or surfaces with what covers the yards"},
    {kInlets, "the drain inlets"},
    {kOwnRain, "the 2-year and 10-year hour of your place"},
    {kMeasuredSoak, "an infiltration rate that was measured on the site"},
}};

struct Decision {
  std::string_view what;
  unsigned needs;
};
constexpr std::array<Decision, 9> kDecisions = {{
    {"which cuts get much street water and which get little: their order", kNothing},
    {"which side of the street the water runs on, and where it turns at a corner", kFineGround},
    {"where the water goes when a basin is full", kFineGround},
    {"how many litres a small storm brings to each cut", kRoofs | kLotCover},
    {"whether a drain takes the water before it comes to a cut", kInlets},
    {"how much the cuts lower the peak in the 2-year and the 10-year hour", kInlets | kOwnRain},
    {"how long water stands in a basin", kMeasuredSoak},
    {"where exactly, to half a metre, a cut misses driveways and ramps", kFineGround | kDrawnCurbs},
    {"how deep to dig below the top of the curb", kFineGround | kDrawnCurbs},
}};

/// No layer says this: it is looked up, asked or measured.
constexpr std::array<std::string_view, 2> kNever = {{
    "whether you may: the city's permit, buried lines, sight at corners; ask, and have lines located",
    "final levels: shoot gutter, top of curb and ground behind it with a level before you dig",
}};

unsigned at_hand(const study::Settings& settings, const GatheredInputs& gathered) {
  const auto own = [&](const char* key) {
    const auto found = settings.origin.find(key);
    return found != settings.origin.end() && found->second != study::kAssumed;
  };
  const auto when = [](bool there, unsigned need) { return there ? need : 0U; };
  constexpr double kFine_m = 1.05;  // a metre, and a little for units that are no metres
  return when(gathered.inputs.ground.frame.cell_m <= kFine_m, kFineGround) |
         when(settings.street.curbs.given() || settings.street.pavement.given(), kDrawnCurbs) |
         when(settings.lots.buildings.given() || settings.lots.surfaces.given(), kRoofs) |
         when(settings.lots.lots.given() || settings.lots.surfaces.given(), kLotCover) |
         when(settings.street.inlets.given(), kInlets) |
         when(own("rain.two_year_1h") && own("rain.ten_year_1h"), kOwnRain) |
         when(settings.basin.infiltration_origin == "measured", kMeasuredSoak);
}

}  // namespace

Decisions decisions_of(const study::Settings& settings, const GatheredInputs& gathered) {
  const unsigned have = at_hand(settings, gathered);
  Decisions decisions;
  for (const Decision& decision : kDecisions) {
    if ((decision.needs & ~have) == 0U) {
      decisions.can.emplace_back(decision.what);
      continue;
    }
    std::string missing;
    for (const Missing& one : kMissing) {
      if ((decision.needs & ~have & one.need) != 0U) {
        missing += fmt::format("{}{}", missing.empty() ? "" : "; ", one.words);
      }
    }
    decisions.cannot.push_back(fmt::format("{}; missing: {}", decision.what, missing));
  }
  decisions.cannot.insert(decisions.cannot.end(), kNever.begin(), kNever.end());
  return decisions;
}

}  // namespace curbshed::cli
