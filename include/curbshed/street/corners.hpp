// Street corners: whether gutter water turns round the corner or crosses the side street, and how sure that
// is.
#pragma once

#include "curbshed/base/geometry.hpp"

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace curbshed::street {

struct Network;

enum class CornerWay : std::uint8_t { Turns, Crosses, Splits };
enum class CornerOrigin : std::uint8_t { Ground, FlowLine, CornerPoint };

/// A line of the user's, drawn the way the water runs. A valley gutter is cut into the surface that
/// directions are found on, so that water that meets it follows it to its end; a hump is raised there so that
/// water goes round. No level is read from either.
struct FlowLine {
  std::string id;
  base::Polyline line;
  bool hump = false;
  double height_m = 0.10;  ///< below the (lowered) gutter, or above the ground
  std::string source;      ///< "file:layer", for messages
};

/// What a user says of the nearest corner. `turns` is the share of the water that turns: 1 it turns, 0 it
/// crosses. Between them the corner is a node of the network with two ways down.
struct CornerPoint {
  std::string id;
  base::Point at;
  double turns = 1.0;
  std::string source;
};

/// A node whose water comes through a corner next, and how much of it.
struct PassedNode {
  std::int32_t node = -1;
  double share = 1.0;
};

/// The end of one gutter at a corner: its water turns into the other gutter of its own curb, or crosses to
/// the gutter on the other side of the side street.
///
/// difference_m = highest ground on the way across − highest ground on the way round, each from 3 m after the
/// fork on (round the corner: to 15 m past it), on the ground as it is: the higher way is not taken, so a
/// positive difference says "turns". doubt_m is twice its standard error, √(2 (1 − exp(−d/range))) times the
/// elevation error for heights d apart.
struct Corner {
  std::string id;
  std::string words;  ///< "Kiln Street, north side, at Lantern Street"; "" without names
  base::Point at;     ///< end of the straight gutter, on the curb
  CornerWay way = CornerWay::Turns;
  CornerOrigin origin = CornerOrigin::Ground;
  double turns_share = 1.0;  ///< of the water in the gutter
  double difference_m = 0.0;
  double doubt_m = 0.0;
  bool uncertain = false;      ///< decided by the ground, and |difference| < doubt or it says the opposite
  std::int32_t to_turn = -1;   ///< node that the water reaches when it turns …
  std::int32_t to_cross = -1;  ///< … and when it crosses
  std::int64_t cells = 0;      ///< that drain through here with no place before
  std::vector<PassedNode> passed;  ///< nodes whose water comes through here next
};

/// Area whose water comes through a corner; areas_m2: arriving at each node.
double area_through_m2(const Corner& corner, const std::vector<double>& areas_m2, double cell_area_m2);

/// What one uncertain corner does to the area that arrives at a node.
struct CornerEffect {
  std::int32_t corner = -1;
  double area_if_turns_m2 = 0.0;
  double area_if_crosses_m2 = 0.0;
};

/// For each node: the uncertain corners whose water comes to it one way and not the other, the largest change
/// first. areas_m2: area arriving at each node as decided. One corner is changed at a time.
std::vector<std::vector<CornerEffect>> corner_effects(const Network& network,
                                                      const std::vector<Corner>& corners,
                                                      const std::vector<double>& areas_m2,
                                                      double cell_area_m2);

}  // namespace curbshed::street
