// The part of a large elevation model that a study reads, grown until the water of its cuts is inside.
#pragma once

#include "curbshed/cli/gather_inputs.hpp"
#include "curbshed/geodata/ground.hpp"
#include "curbshed/siting/candidates_model.hpp"
#include "curbshed/study/preparation.hpp"

#include <array>
#include <functional>
#include <optional>
#include <string>

namespace curbshed::cli {

enum class Side : std::uint8_t { North, East, South, West };
inline constexpr std::size_t kSides = 4;

/// What was asked for, and how far each side moved out.
struct Place {
  bool given = false;
  base::Box asked;                       ///< metres, without margin
  base::Box with_margin;                 ///< metres, inside the elevation model or beyond it
  std::array<double, kSides> grown_m{};  ///< by Side
  bool memory_stopped = false;           ///< a side would have grown farther, but the memory ends
  int rounds = 1;                        ///< times that the ground was read and followed
};

/// The place as the study gives it, before any growth. InputErrors: a polygon layer without a polygon;
/// corners that cannot be brought into the elevation model's system.
Place read_place(const study::Settings& settings, const geodata::Projection& projection);

/// Inputs and preparation on the study's place.
struct PreparedStudy {
  Place place;
  GatheredInputs gathered;
  study::Preparation preparation;
  std::optional<siting::CandidateModel> candidates;  ///< where the study looks for them
};

struct PrepareOptions {
  bool strict = false;            ///< a bulk feature that cannot be used is an error
  std::int64_t memory_bytes = 0;  ///< 0 = the machine's
  /// Called each time that the inputs have been read; gives who is told of the work on them.
  std::function<base::Progress(const GatheredInputs&)> gathered = {};
  std::function<void()> looking = {};         ///< called when the search for candidates begins
  siting::CandidateRules candidates_by = {};  ///< how candidates are screened; nothing = they are not
};

/// Without [place] the whole elevation model, once. With it: the place and its margin; as long as the area of
/// a cut, or of what lies above a cut, touches a side of the window with higher ground beyond, that side
/// moves out (50 m, then twice as far each time) and everything is read again, up to place.grow_limit, the
/// end of the elevation model or `memory_bytes`. Notes PlaceGrown and PlaceStillCut. Same
/// inputs, same window. Errors: those of gather_inputs and prepare.
PreparedStudy prepare_study(const study::Settings& settings, const PrepareOptions& wanted,
                            const terrain::WorkPlan& plan);

/// One sentence for `check`: "400 m × 300 m and 50 m around; grew 100 m to the north, …".
std::string place_words(const Place& place);

}  // namespace curbshed::cli
