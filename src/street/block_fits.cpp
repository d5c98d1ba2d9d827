#include "street/block_fits.hpp"

#include "curbshed/shapes/polygons.hpp"
#include "curbshed/terrain/height_at.hpp"

#include "street/cross_sections.hpp"
#include "street/plane.hpp"

#include <limits>
#include <map>

namespace curbshed::street::detail {

namespace {

// Common practice, no source:
constexpr double kClassError_m = 2.0;      ///< of a width by class
constexpr double kAttributeError_m = 0.3;  ///< of a width that a layer states
constexpr double kLineOff_m = 0.7;         ///< of a drawn line from the middle of its street
constexpr double kDividedShare = 0.65;     ///< of the class width, for each half of a divided street
constexpr double kMedian_m = 1.2;          ///< narrowest median of a divided street
constexpr double kStepShare = 0.35;        ///< of a vertical curb, for a step in one cross-section
constexpr double kLeastFall = 0.005;       ///< less is flat
constexpr double kRoomAtDeadEnd_m = 16.0;

std::size_t at(std::int32_t i) { return static_cast<std::size_t>(i); }

double class_width_m(const BlockDraft& draft, const CentrelineSettings& settings) {
  double width = settings.class_width_m[static_cast<std::size_t>(draft.block.street_class)];
  for (const std::optional<double>& beside : draft.beside_m) {
    if (beside) width = std::max(2.0, std::min(kDividedShare * width, *beside - kMedian_m));
  }
  return width;
}

struct BlockLook {
  std::vector<Section> sections;
  SideLook side;
  double expected_m = 0.0;  ///< width by attribute or class
};

/// What is left out at an end: the mouth of the other streets, or the round end.
double clear_of_end_m(const BlockNet& net, const BlockDraft& draft, std::size_t end,
                      const CentrelineSettings& settings) {
  const Junction& node = net.nodes[at(draft.node[end])];
  if (node.dead_end()) {
    return base::length_m(draft.block.drawn) > 4.0 * kRoomAtDeadEnd_m ? kRoomAtDeadEnd_m : 2.0;
  }
  if (!node.corner()) return 0.0;
  double clear = 0.0;
  for (const BlockEnd& e : node.ends) {
    const BlockDraft& other = net.blocks[at(e.block)];
    if (other.block.street == draft.block.street && !draft.block.street.empty()) continue;
    clear = std::max(clear, 0.5 * other.width_m.value_or(class_width_m(other, settings)));
  }
  return clear + settings.return_radius_m + 1.0;
}

BlockLook look_at(const terrain::Ground& ground, const CentrelineSettings& settings, const BlockNet& net,
                  const BlockDraft& draft) {
  BlockLook look;
  const base::Polyline& line = draft.block.drawn;
  look.expected_m = draft.width_m.value_or(class_width_m(draft, settings));
  const double length = base::length_m(line);
  const double from = clear_of_end_m(net, draft, 0, settings);
  const double to = length - clear_of_end_m(net, draft, 1, settings);
  const double reach = std::max(settings.section_reach_m, 0.75 * look.expected_m);
  look.sections = cross_sections(ground, line, from, to, settings.section_spacing_m, reach);
  const auto unknown = [](const Section& s) { return !std::isfinite(s.left.front()); };
  look.sections.erase(std::remove_if(look.sections.begin(), look.sections.end(), unknown),
                      look.sections.end());
  for (Section& section : look.sections) {
    for (std::size_t side = 0; side < 2; ++side) {
      if (!draft.beside_m[side]) continue;
      const auto keep = static_cast<std::size_t>(0.7 * *draft.beside_m[side] / kAcross_m) + 1;
      std::vector<double>& profile = side == 0 ? section.left : section.right;
      if (profile.size() > keep) profile.resize(keep);
    }
  }
  double east = 0.0;
  double north = 0.0;
  for (std::size_t i = 0; i + 1 < line.size(); ++i) {
    east += std::abs(line[i + 1].x_m - line[i].x_m);
    north += std::abs(line[i + 1].y_m - line[i].y_m);
  }
  const double used = length > 0.0 ? std::max(0.0, to - from) / length : 0.0;
  look.side.cell_m = ground.frame.cell_m;
  look.side.least_step_m = kStepShare * settings.vertical_height_m;
  look.side.spacing_m = settings.section_spacing_m;
  look.side.rows_crossed = 1.0 + used * std::min(east, north) / ground.frame.cell_m;
  look.side.error_m = settings.elevation_error_m;
  look.side.range_m = settings.error_range_m;
  return look;
}

bool plausible(double width_m, double expected_m) {
  return width_m >= 0.5 * expected_m && width_m <= 1.8 * expected_m;
}

void set_width(StreetBlock& block, double width_m, double error_m, WidthFrom from) {
  block.width_m = width_m;
  block.width_error_m = error_m;
  block.width_from = from;
}

/// Both curbs show.
void fit_between(const BlockDraft& draft, StreetBlock& block) {
  const SideFit& left = block.sides[0];
  const SideFit& right = block.sides[1];
  block.off_m = 0.5 * (left.off_m - right.off_m);
  if (draft.width_m) {
    set_width(block, *draft.width_m, kAttributeError_m, WidthFrom::Line);
    block.curb_error_m =
        std::hypot(0.5 * kAttributeError_m, 0.5 * std::hypot(left.off_error_m, right.off_error_m));
  } else {
    set_width(block, *block.ground_width_m, std::hypot(left.off_error_m, right.off_error_m),
              WidthFrom::Ground);
    block.curb_error_m = std::max(left.off_error_m, right.off_error_m);
  }
}

/// One curb shows, or none. `usual`: width from attribute, street or class, already in the block.
void fit_from_usual(const BlockDraft& draft, StreetBlock& block) {
  const double half = 0.5 * block.width_m;
  const double half_error = 0.5 * block.width_error_m;
  block.curb_error_m = std::hypot(half_error, kLineOff_m);
  const bool left = block.sides[0].curb_shown;
  if (!left && !block.sides[1].curb_shown) return;
  const SideFit& shown = block.sides[left ? 0 : 1];
  const double way = left ? 1.0 : -1.0;
  if (draft.width_m || block.width_from == WidthFrom::Street) {
    block.off_m = way * (shown.off_m - half);
    block.curb_error_m = std::hypot(block.width_error_m, shown.off_error_m);
  } else if (std::abs(shown.off_m - half) <= 1.5) {
    block.off_m = way * 0.5 * (shown.off_m - half);
    block.width_m = shown.off_m + half;
  } else {
    block.width_m = 2.0 * shown.off_m;
  }
}

void forget_implausible(StreetBlock& block, double expected_m) {
  std::array<SideFit, 2>& sides = block.sides;
  if (sides[0].curb_shown && sides[1].curb_shown && plausible(sides[0].off_m + sides[1].off_m, expected_m)) {
    block.ground_width_m = sides[0].off_m + sides[1].off_m;
    return;
  }
  for (SideFit& side : sides) {
    if (side.curb_shown && !plausible(2.0 * side.off_m, expected_m)) side = {};
  }
  if (!sides[0].curb_shown || !sides[1].curb_shown) return;
  block.ground_width_m = sides[0].off_m + sides[1].off_m;
}

using StreetKey = std::pair<std::string, StreetClass>;
StreetKey key_of(const StreetBlock& block) { return {block.street, block.street_class}; }

PavementFall fall_of(const StreetBlock& block) {
  std::array<int, 2> to{};
  for (std::size_t side = 0; side < 2; ++side) {
    const SideFit& fit = block.sides[side];
    const double flat = std::max(kLeastFall, 2.0 * fit.fall_error);
    to[side] = fit.fall > flat ? 1 : fit.fall < -flat ? -1 : 0;
  }
  if (to[0] == 1 && to[1] == 1) return PavementFall::Crowned;
  if (to[0] == -1 && to[1] == -1) return PavementFall::Inverted;
  if (to[0] == 1 && to[1] == -1) return PavementFall::ToLeft;
  if (to[0] == -1 && to[1] == 1) return PavementFall::ToRight;
  return PavementFall::Unknown;
}

terrain::CurbKind kind_of(const BlockDraft& draft) {
  if (draft.kind) return *draft.kind;
  if (draft.block.street_class != StreetClass::Alley) return terrain::CurbKind::Vertical;
  const auto& sides = draft.block.sides;
  return sides[0].step_m > 0.0 || sides[1].step_m > 0.0 ? terrain::CurbKind::Vertical
                                                        : terrain::CurbKind::None;
}

void place_middle(StreetBlock& block) {
  block.middle = block.drawn;
  if (std::abs(block.off_m) < 0.01) {
    block.off_m = 0.0;
    return;
  }
  const std::vector<base::Polyline> beside = shapes::offset(block.drawn, block.off_m);
  if (beside.size() == 1) {
    block.middle = beside.front();
  } else {
    block.off_m = 0.0;  // so many bends that nothing runs beside it
  }
}

/// Middles that were moved meet again at their junction.
void meet_again(BlockNet& net) {
  for (Junction& node : net.nodes) {
    if (node.ends.size() < 2) continue;
    double xx = 0.01, xy = 0.0, yy = 0.01, bx = 0.0, by = 0.0;
    for (const BlockEnd& e : node.ends) {
      const base::Polyline& line = net.blocks[at(e.block)].block.middle;
      const base::Point q = minus(e.end == 0 ? line.front() : line.back(), node.at);
      const base::Point n = left_of(outward(line, e.end));
      const double d = dot(n, q);
      xx += n.x_m * n.x_m;
      xy += n.x_m * n.y_m;
      yy += n.y_m * n.y_m;
      bx += n.x_m * d;
      by += n.y_m * d;
    }
    const double det = xx * yy - xy * xy;
    node.at = plus(node.at, {(bx * yy - by * xy) / det, (by * xx - bx * xy) / det});
    for (const BlockEnd& e : node.ends) {
      base::Polyline& line = net.blocks[at(e.block)].block.middle;
      base::Point& end = e.end == 0 ? line.front() : line.back();
      const base::Point way = outward(line, e.end);
      const double more = dot(minus(node.at, end), way);
      if (more > 0.0) end = plus(end, times(more, way));
    }
  }
}

}  // namespace

void fit_blocks(const terrain::Ground& ground, const CentrelineSettings& settings, BlockNet& net) {
  std::vector<BlockLook> looks;
  std::map<StreetKey, std::vector<double>> widths;
  for (BlockDraft& draft : net.blocks) {
    looks.push_back(look_at(ground, settings, net, draft));
    StreetBlock& block = draft.block;
    block.sections = static_cast<int>(looks.back().sections.size());
    for (const bool left : {true, false}) {
      block.sides[left ? 0 : 1] = fit_side(looks.back().sections, left, looks.back().side);
    }
    forget_implausible(block, looks.back().expected_m);
    if (block.ground_width_m && !block.street.empty()) widths[key_of(block)].push_back(*block.ground_width_m);
  }
  for (std::size_t b = 0; b < net.blocks.size(); ++b) {
    BlockDraft& draft = net.blocks[b];
    StreetBlock& block = draft.block;
    const auto others = widths.find(key_of(block));
    if (draft.width_m) {
      set_width(block, *draft.width_m, kAttributeError_m, WidthFrom::Line);
    } else if (others != widths.end()) {
      set_width(block, median_of(others->second), std::max(0.5, spread_of(others->second)),
                WidthFrom::Street);
    } else {
      set_width(block, class_width_m(draft, settings), kClassError_m, WidthFrom::Class);
    }
    if (block.ground_width_m) {
      fit_between(draft, block);
    } else {
      fit_from_usual(draft, block);
    }
    block.kind = kind_of(draft);
    place_middle(block);
    for (const bool left : {true, false}) {
      const double off = 0.5 * block.width_m + (left ? block.off_m : -block.off_m);
      fit_fall(looks[b].sections, left, off, looks[b].side, block.sides[left ? 0 : 1]);
    }
    block.fall = fall_of(block);
  }
  meet_again(net);
}

std::optional<Bulb> bulb_at(const terrain::Ground& ground, const CentrelineSettings& settings,
                            const StreetBlock& block, int end) {
  constexpr int kRays = 17;  // 15° apart, from 120° to one side to 120° to the other
  constexpr double kRay_m = 20.0;
  const base::Point tip = end == 0 ? block.middle.front() : block.middle.back();
  const base::Point way = outward(block.middle, end);
  SideLook look;
  look.cell_m = ground.frame.cell_m;
  look.least_step_m = kStepShare * settings.vertical_height_m;
  std::optional<Bulb> best;
  double best_share = 0.6;
  for (double back = -4.0; back <= 14.0; back += 2.0) {
    const base::Point middle = minus(tip, times(back, way));
    std::vector<Section> rays;
    for (int ray = 0; ray < kRays; ++ray) {
      const double angle = (ray - kRays / 2) * 3.14159265358979323846 / 12.0;
      const base::Point out{way.x_m * std::cos(angle) - way.y_m * std::sin(angle),
                            way.x_m * std::sin(angle) + way.y_m * std::cos(angle)};
      Section section;
      for (double r = 0.0; r <= kRay_m; r += kAcross_m) {
        section.left.push_back(terrain::height_at(ground, plus(middle, times(r, out)))
                                   .value_or(std::numeric_limits<double>::quiet_NaN()));
      }
      rays.push_back(std::move(section));
    }
    const SideFit fit = fit_side(rays, true, look);
    if (fit.curb_shown && fit.step_m > 0.0 && fit.share > best_share &&
        fit.off_m > 0.5 * block.width_m + 1.5) {
      best_share = fit.share;
      best = Bulb{middle, fit.off_m, true};
    }
  }
  if (best || block.street_class != StreetClass::CulDeSac) return best;
  return Bulb{tip, settings.bulb_radius_m, false};
}

}  // namespace curbshed::street::detail
