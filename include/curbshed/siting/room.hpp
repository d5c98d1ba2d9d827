// How deep, wide and long a basin may be where it shall lie: depth follows from the room.
#pragma once

#include "curbshed/street/place_words.hpp"

#include <optional>
#include <string>
#include <vector>

namespace curbshed::siting {

/// What the strip between curb and walk must hold besides slopes and floor. Every one is a key of the study.
struct RoomRules {
  double side_slope = 2.0;      ///< horizontal to one vertical, ≥ 0
  double drop_m = 0.0508;       ///< from the rim of the slope down to the water line: 2 in (WA-LID, 2-3 in)
  double least_floor_m = 0.45;  ///< a shovel's width of level ground (a ruling of the project)
  double back_of_curb_m = 0.3048;   ///< no parking: 1 ft (San Mateo County worksheet)
  double step_out_m = 0.4572;       ///< beside parking: 18 in (a California city code, ch. 11.46)
  double shelf_m = 0.3048;          ///< level beside the walk: 12 in (from memory)
  double least_ponding_m = 0.0762;  ///< 3 in: the shallow end of what is built (from memory)
  double least_length_m = 2.4384;   ///< of the water line: 8 ft (below New York City's 10 ft)
};

/// A basin by its water line at the cut's invert.
struct RoomAsked {
  double length_m = 0.0;
  double width_m = 0.0;
  double ponding_m = 0.0;
};

struct RoomThere {
  std::optional<double> strip_m;  ///< back of curb to what ends the strip; absent = not known
  double free_m = 0.0;            ///< along the curb, between driveways, corners and the like
  bool parking = false;           ///< cars stop beside the curb
  bool walk = true;               ///< a walk runs along the far side
};

/// Measures of a basin that has room. Rim = water line grown by side slope × drop on all sides.
struct RoomBasin {
  double length_m = 0.0;  ///< of the water line
  double width_m = 0.0;
  double ponding_m = 0.0;
  double setback_m = 0.0;  ///< back of curb to the water line
  double floor_length_m = 0.0;
  double floor_width_m = 0.0;
};

struct RoomAnswer {
  bool asked_fits = false;
  std::optional<RoomBasin> basin;  ///< the asked one, else the one that would pass; absent = none would
  bool width_known = false;
  double needed_strip_m = 0.0;              ///< for the asked one
  double least_strip_m = 0.0;               ///< for the asked depth with the least floor
  double needed_free_m = 0.0;               ///< along the curb, for the asked one
  std::optional<double> deepest_ponding_m;  ///< that the strip allows with the least floor; absent = unknown
  bool too_narrow = false;                  ///< the strip, for the asked one
  bool too_short = false;                   ///< the free curb, for the asked one
  bool no_depth = false;                    ///< the strip leaves less than the least ponding
  bool no_length = false;                   ///< the free curb leaves less than the least length
};

/// Width needed = back of curb or step-out + 2 · side slope · (ponding + drop) + floor + shelf; length needed
/// = water line + 2 · side slope · drop. Where the strip is too narrow the floor is narrowed to the least
/// one, then the basin made shallower; where the free curb is too short the basin is shortened. Equal fits
/// (to 1e-9 m). A strip of unknown width is taken as wide enough and `width_known` says no.
RoomAnswer fit_room(const RoomAsked& asked, const RoomThere& there, const RoomRules& rules);

/// "1.8 m from curb to walk and it needs 2.4 m: 12 cm deep and 1.0 m wide would fit"; "" where the asked one
/// fits.
std::string room_words(const RoomAsked& asked, const RoomThere& there, const RoomAnswer& answer,
                       street::TapeUnit unit);

/// Lengths of a channel under a walk that touches the curb. All common practice, no source.
struct ChannelRules {
  double height_m = 0.10;      ///< clear, under the cover
  double cover_m = 0.025;      ///< least thickness of the cover
  double fall = 0.01;          ///< least fall toward the basin
  double most_length_m = 3.0;  ///< a longer one cannot be cleaned from its ends
};
struct ChannelThere {
  double length_m = 0.0;       ///< from the curb's face to the basin's rim
  double curb_height_m = 0.0;  ///< top of the curb and of the walk above the gutter
  double ponding_m = 0.0;      ///< of the basin behind
};
struct ChannelAnswer {
  double cover_m = 0.0;   ///< what is left above the channel at the curb; the walk rises away from it
  double fall_m = 0.0;    ///< over its length
  bool too_thin = false;  ///< of cover
  bool too_flat = false;  ///< its end would lie under the mulch
  bool too_long = false;
  bool fits() const { return !too_thin && !too_flat && !too_long; }
};
ChannelAnswer fit_channel(const ChannelThere& there, const ChannelRules& rules);
/// Why it does not fit; "" where it does.
std::string channel_words(const ChannelThere& there, const ChannelAnswer& answer, const ChannelRules& rules,
                          street::TapeUnit unit);

}  // namespace curbshed::siting
