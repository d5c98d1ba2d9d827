#include "study/basin_sites.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <limits>

#include <fmt/format.h>

namespace curbshed::study {
namespace {

using base::Point;

/// Along the curb and away from it, metres from the cut.
struct Place {
  double along_m = 0.0;
  double behind_m = 0.0;
};

class Strip {
 public:
  Strip(Point cut, Point behind, const BasinParams& basin, double setback_m, double middle_m)
      : cut_(cut),
        behind_(behind),
        middle_m_(middle_m),
        half_m_(0.5 * basin.length_m),
        near_m_(setback_m),
        far_m_(setback_m + basin.width_m) {}

  Place place(Point p) const {
    const double x = p.x_m - cut_.x_m;
    const double y = p.y_m - cut_.y_m;
    return {x * behind_.y_m - y * behind_.x_m, x * behind_.x_m + y * behind_.y_m};
  }
  Point point(Place p) const {
    return {cut_.x_m + p.along_m * behind_.y_m + p.behind_m * behind_.x_m,
            cut_.y_m - p.along_m * behind_.x_m + p.behind_m * behind_.y_m};
  }
  bool inside(Point p) const {
    const Place at = place(p);
    return std::abs(at.along_m - middle_m_) < half_m_ && at.behind_m > near_m_ && at.behind_m < far_m_;
  }
  bool on_curb(Point p, double cell_m) const { return place(p).behind_m < 0.5 * cell_m; }
  /// Between curb and basin.
  bool before_basin(Point p) const {
    const Place at = place(p);
    return std::abs(at.along_m - middle_m_) < half_m_ && std::abs(at.behind_m) < near_m_ + 1.0;
  }
  Point middle() const { return point({middle_m_, 0.5 * (near_m_ + far_m_)}); }
  double reach_m() const { return std::hypot(std::abs(middle_m_) + half_m_, far_m_); }
  /// `along` runs to the right when one looks away from the street, so this order turns left.
  base::Polygon ring() const {
    const double left = middle_m_ - half_m_;
    const double right = middle_m_ + half_m_;
    return {{{point({left, near_m_}), point({right, near_m_}), point({right, far_m_}), point({left, far_m_}),
              point({left, near_m_})}}};
  }

 private:
  Point cut_;
  Point behind_;
  double middle_m_;  ///< of the water line, along the curb from the cut
  double half_m_;
  double near_m_;
  double far_m_;
};

/// Cells of the place and of the ring around it; cells beyond the raster are −1.
struct Cells {
  std::vector<std::int64_t> inside;
  std::vector<std::int64_t> ring;
  std::int64_t beyond = 0;
};

Cells cells_of(const terrain::GridFrame& frame, const Strip& strip, Point cut) {
  const double reach_m = strip.reach_m() + 2.0 * frame.cell_m;
  const std::int64_t r0 = frame.row_of(cut.y_m + reach_m);
  const std::int64_t r1 = frame.row_of(cut.y_m - reach_m);
  const std::int64_t c0 = frame.col_of(cut.x_m - reach_m);
  const std::int64_t c1 = frame.col_of(cut.x_m + reach_m);
  const std::int64_t middle_r = frame.row_of(strip.middle().y_m);
  const std::int64_t middle_c = frame.col_of(strip.middle().x_m);
  // A place smaller than a cell is the cell of its middle.
  const auto in_place = [&](std::int64_t r, std::int64_t c) {
    return (r == middle_r && c == middle_c) || strip.inside(frame.centre(r, c));
  };
  Cells out;
  for (std::int64_t r = r0; r <= r1; ++r) {
    for (std::int64_t c = c0; c <= c1; ++c) {
      const bool own = in_place(r, c);
      bool touches = own;
      for (int k = 0; k < terrain::kBearings && !touches; ++k) {
        touches = in_place(r + terrain::kRowStep[k], c + terrain::kColStep[k]);
      }
      if (!touches) {
        continue;
      }
      if (!frame.inside(r, c)) {
        ++out.beyond;
      } else {
        (own ? out.inside : out.ring).push_back(frame.index(r, c));
      }
    }
  }
  return out;
}

/// Station nearest to a point, the one with the lower crest of two at one distance; nullptr where there is
/// none.
const terrain::CurbStation* station_near(const std::vector<const terrain::CurbStation*>& stations, Point p) {
  double best_m = std::numeric_limits<double>::infinity();
  const terrain::CurbStation* best = nullptr;
  for (const terrain::CurbStation* s : stations) {
    const double off_m = base::distance_m(s->at, p);
    if (off_m < best_m || (off_m == best_m && best != nullptr && s->crest_m < best->crest_m)) {
      best_m = off_m;
      best = s;
    }
  }
  return best;
}

/// +1 when the gutter's water runs toward growing `along`, −1 against it, 0 when it turns away from the curb.
double downstream_sign(const terrain::GridFrame& frame, const street::StreetModel& street, std::size_t node,
                       Point cut, Point behind) {
  constexpr double kWay_m = 5.0;
  std::int64_t cell = street.leaves_at[node];
  if (cell < 0) {
    return 0.0;
  }
  const Point start = frame.centre(cell);
  Point end = start;
  for (double way_m = 0.0; way_m < kWay_m;) {
    way_m += terrain::step_m(street.directions[cell], frame.cell_m);
    const std::int64_t next = terrain::next_cell(street.directions, cell);
    if (next < 0) {
      break;
    }
    cell = next;
    end = frame.centre(cell);
  }
  const Strip axes(cut, behind, {}, 0.0, 0.0);
  const double along_m = axes.place(end).along_m - axes.place(start).along_m;
  if (std::abs(along_m) < frame.cell_m) {
    return 0.0;
  }
  return along_m > 0.0 ? 1.0 : -1.0;
}

base::Where where_of(const StudyInputs& inputs, const street::Network& network, std::size_t node) {
  const std::int32_t site = network.site[node];
  return {"", site < 0 ? "cuts" : inputs.sites[static_cast<std::size_t>(site)].source, network.id[node]};
}

constexpr double kBin_m = 20.0;

}  // namespace

StationBins::StationBins(const terrain::CurbField& curbs) : curbs_(&curbs) {
  for (std::size_t i = 0; i < curbs.stations.size(); ++i) {
    const Point at = curbs.stations[i].at;
    bins_[{bin(at.y_m), bin(at.x_m)}].push_back(static_cast<std::int32_t>(i));
  }
}

std::int64_t StationBins::bin(double v) const { return static_cast<std::int64_t>(std::floor(v / kBin_m)); }

std::vector<const terrain::CurbStation*> StationBins::near(Point p, double reach_m) const {
  std::vector<std::int32_t> found;
  for (std::int64_t r = bin(p.y_m - reach_m); r <= bin(p.y_m + reach_m); ++r) {
    for (std::int64_t c = bin(p.x_m - reach_m); c <= bin(p.x_m + reach_m); ++c) {
      const auto list = bins_.find({r, c});
      if (list == bins_.end()) {
        continue;
      }
      std::copy_if(list->second.begin(), list->second.end(), std::back_inserter(found), [&](std::int32_t i) {
        return base::distance_m(curbs_->stations[static_cast<std::size_t>(i)].at, p) <= reach_m;
      });
    }
  }
  std::sort(found.begin(), found.end());
  std::vector<const terrain::CurbStation*> near;
  for (const std::int32_t i : found) {
    near.push_back(&curbs_->stations[static_cast<std::size_t>(i)]);
  }
  return near;
}

BasinSite basin_site(const SiteGround& on, const street::Network& network, std::size_t node,
                     const BasinParams& basin, const BasinOffset& offset, std::optional<double> crest_m) {
  const StudyInputs& inputs = *on.inputs;
  const terrain::Ground& ground = inputs.ground;
  const Point cut = network.at[node];
  const Point behind = network.behind[node];
  if (network.curb[node] < 0 || (behind.x_m == 0.0 && behind.y_m == 0.0)) {
    throw base::InputError(
        where_of(inputs, network, node), "the cut stands on no curb, so its basin has no place",
        "a cut on a curb line whose street side is known", "move the cut or give the curb its street side");
  }
  const double down = downstream_sign(ground.frame, *on.street, node, cut, behind);
  const Strip strip(cut, behind, basin, offset.setback_m, (0.5 - offset.mouth_at) * basin.length_m * down);
  const Cells cells = cells_of(ground.frame, strip, cut);
  BasinSite out;
  out.cells = cells.inside;
  out.water_line = strip.ring();
  out.rim_m = std::numeric_limits<double>::infinity();
  const double cell_m2 = ground.frame.cell_area_m2();
  out.unknown_m2 = static_cast<double>(cells.beyond) * cell_m2;
  for (const std::int64_t cell : cells.inside) {
    out.unknown_m2 += ground.valid[cell] == 0 ? cell_m2 : 0.0;
    const bool paved = !inputs.pavement.empty() && inputs.pavement[cell] != 0;
    const bool roofed = !inputs.roof.empty() && inputs.roof[cell] != 0;
    out.hard_m2 += paved || roofed ? cell_m2 : 0.0;
  }
  const std::vector<const terrain::CurbStation*> stations =
      on.stations->near(cut, strip.reach_m() + 3.0 * ground.frame.cell_m);
  for (const terrain::CurbStation* s : stations) {
    const bool gap = inputs.curbs[static_cast<std::size_t>(s->curb)].kind == terrain::CurbKind::Gap;
    out.across_gap = out.across_gap || (gap && strip.before_basin(s->at));
  }
  for (const std::int64_t cell : cells.ring) {
    if (ground.valid[cell] == 0) {
      out.unknown_m2 += cell_m2;
      continue;
    }
    double level_m = static_cast<double>(ground.height_m[cell]);
    const Point centre = ground.frame.centre(cell);
    if (strip.on_curb(centre, ground.frame.cell_m)) {
      const terrain::CurbStation* s = station_near(stations, centre);
      const bool gap =
          s != nullptr && inputs.curbs[static_cast<std::size_t>(s->curb)].kind == terrain::CurbKind::Gap;
      if (s != nullptr) {
        level_m = std::max(level_m, crest_m && !gap ? *crest_m : static_cast<double>(s->crest_m));
      }
    }
    if (level_m < out.rim_m) {
      out.rim_m = level_m;
      out.rim_at = centre;
      out.rim_to = on.street->first_receiver[cell];
    }
  }
  if (!std::isfinite(out.rim_m)) {
    throw base::InputError(where_of(inputs, network, node), "no ground is known around the basin's place",
                           "a basin whose rim lies inside the elevation",
                           "move the cut or give an elevation that covers it");
  }
  return out;
}

}  // namespace curbshed::study
