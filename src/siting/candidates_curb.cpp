#include "siting/candidates_curb.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>
#include <utility>

namespace curbshed::siting::detail {
namespace {

using base::Point;
using terrain::CurbKind;
using terrain::CurbStation;

constexpr double kHeightsDiffer_m = 0.02;  // of a curb, as stations and cuts read it
constexpr double kLeastCurb_m = 0.05;      // below it nobody saws

/// Points in square bins.
class NearPoints {
 public:
  explicit NearPoints(double bin_m) : bin_m_(std::max(bin_m, 1.0)) {}
  void add(Point p, std::int32_t what) { bins_[{bin(p.y_m), bin(p.x_m)}].push_back({p, what}); }
  /// Calls use(what, distance) for all within reach_m.
  template <class Use>
  void within(Point p, double reach_m, const Use& use) const {
    for (std::int64_t r = bin(p.y_m - reach_m); r <= bin(p.y_m + reach_m); ++r) {
      for (std::int64_t c = bin(p.x_m - reach_m); c <= bin(p.x_m + reach_m); ++c) {
        const auto list = bins_.find({r, c});
        if (list == bins_.end()) continue;
        for (const auto& one : list->second) {
          const double off_m = base::distance_m(one.first, p);
          if (off_m <= reach_m) use(one.second, off_m);
        }
      }
    }
  }
  bool any_nearer(Point p, double reach_m) const {
    bool any = false;
    within(p, reach_m, [&](std::int32_t, double off_m) { any = any || off_m < reach_m; });
    return any;
  }

 private:
  std::int64_t bin(double v) const { return static_cast<std::int64_t>(std::floor(v / bin_m_)); }
  double bin_m_;
  std::map<std::pair<std::int64_t, std::int64_t>, std::vector<std::pair<Point, std::int32_t>>> bins_;
};

class Rows {
 public:
  Rows(const CandidateInputs& inputs, const study::Settings& settings)
      : in_(inputs),
        curbs_(inputs.inputs->curbs),
        settings_(settings),
        faces_(curbs_, street::kMeetCells * inputs.inputs->ground.frame.cell_m),
        gaps_(settings.candidates.from_driveway_m),
        sites_(settings.candidates.from_inlet_m),
        stations_(5.0) {}

  std::vector<CurbRow> make() {
    number_unnamed();
    for (const CurbStation& s : in_.curbs->stations) {
      if (curbs_[static_cast<std::size_t>(s.curb)].kind == CurbKind::Gap) gaps_.add(s.at, 0);
    }
    for (const street::Site& site : in_.inputs->sites) {
      if (site.kind != street::SiteKind::Cut) sites_.add(site.at, 0);
    }
    for (const CurbStation& s : in_.curbs->stations) add(s);
    for (CurbRow& row : rows_) sort(row);
    for (std::size_t g = 0; g < rows_.size(); ++g) {
      mark_breaks(rows_[g]);
      mark_corners(g, rows_[g]);
    }
    mark_sites();
    return std::move(rows_);
  }

 private:
  /// Curbs without a face get rows of their own, in an order that the layer's does not change.
  void number_unnamed() {
    std::vector<std::tuple<double, double, double, double, std::int32_t>> order;
    unnamed_.assign(curbs_.size(), {-1, false});
    for (std::size_t i = 0; i < curbs_.size(); ++i) {
      const base::Polyline& line = curbs_[i].line;
      if (line.size() < 2 || faces_.place(i, 0.0).face >= 0) continue;
      Point low = line.front();
      Point high = line.back();
      const bool turned = std::tie(high.x_m, high.y_m) < std::tie(low.x_m, low.y_m);
      if (turned) std::swap(low, high);
      unnamed_[i].second = turned;
      order.emplace_back(low.x_m, low.y_m, high.x_m, high.y_m, static_cast<std::int32_t>(i));
    }
    std::sort(order.begin(), order.end());
    auto next = static_cast<std::int32_t>(faces_.faces().size());
    for (const auto& one : order) unnamed_[static_cast<std::size_t>(std::get<4>(one))].first = next++;
    rows_.resize(static_cast<std::size_t>(next));
  }

  void add(const CurbStation& s) {
    const auto curb = static_cast<std::size_t>(s.curb);
    const terrain::CurbLine& line = curbs_[curb];
    CurbPlace place;
    place.at = s.at;
    place.to_street = s.to_street;
    place.curb = s.curb;
    place.along_curb_m = s.along_m;
    place.gutter_cell = s.gutter_cell;
    place.curb_height_m = static_cast<double>(s.crest_m) - static_cast<double>(s.gutter_level_m);
    const street::FacePlace on = faces_.place(curb, s.along_m);
    std::int32_t row = on.face;
    place.along_m = on.along_m;
    if (row < 0) {
      row = unnamed_[curb].first;
      place.along_m = unnamed_[curb].second ? base::length_m(line.line) - s.along_m : s.along_m;
    }
    if (row < 0) return;
    place.no_basin = forbidden(s, line, place.curb_height_m);
    rows_[static_cast<std::size_t>(row)].places.push_back(place);
  }

  /// From the flow line up to the top of the study's opening; 0 where it is open at the top.
  double opening_height_m() const {
    const study::BasinSettings& basin = settings_.basin;
    const double high_m = basin.opening_kind == "core" ? basin.core_diameter_m.value_or(0.0)
                                                       : basin.opening_height_m.value_or(0.0);
    return high_m > 0.0
               ? high_m + basin.invert_rise_m - basin.dip_m - settings_.gutter.depression_m.value_or(0.0)
               : 0.0;
  }

  std::optional<WhyNone> forbidden(const CurbStation& s, const terrain::CurbLine& line,
                                   double height_m) const {
    if (line.kind == CurbKind::Gap || gaps_.any_nearer(s.at, settings_.candidates.from_driveway_m)) {
      return WhyNone::Driveway;
    }
    if ((line.kind != CurbKind::Vertical && line.kind != CurbKind::Rolled) || height_m < kLeastCurb_m) {
      return WhyNone::NoCurb;
    }
    if (opening_height_m() > height_m - kHeightsDiffer_m) return WhyNone::NoCurb;
    const terrain::Ground& ground = in_.inputs->ground;
    const bool known = s.gutter_cell >= 0 && ground.valid[s.gutter_cell] != 0 && s.behind_cell >= 0 &&
                       ground.valid[s.behind_cell] != 0;
    const bool inside = !in_.within || base::meets(*in_.within, base::point_shape(s.at));
    return known && inside ? std::nullopt : std::optional<WhyNone>(WhyNone::Ground);
  }

  static void sort(CurbRow& row) {
    std::sort(row.places.begin(), row.places.end(), [](const CurbPlace& a, const CurbPlace& b) {
      return std::tie(a.along_m, a.at.x_m, a.at.y_m, a.gutter_cell) <
             std::tie(b.along_m, b.at.x_m, b.at.y_m, b.gutter_cell);
    });
  }

  /// Where the curb stops, whether a driveway or its end: the same distance is kept.
  void mark_breaks(CurbRow& row) const {
    const double longest_m = 3.0 * in_.inputs->ground.frame.cell_m;
    std::vector<CurbPlace>& places = row.places;
    std::vector<double> ends_m;
    for (std::size_t i = 0; i < places.size(); ++i) {
      const bool first = i == 0;
      places[i].break_before = first || places[i].along_m - places[i - 1].along_m > longest_m;
      if (!places[i].break_before) continue;
      ends_m.push_back(places[i].along_m);
      if (!first) ends_m.push_back(places[i - 1].along_m);
    }
    if (!places.empty()) ends_m.push_back(places.back().along_m);
    std::sort(ends_m.begin(), ends_m.end());
    for (CurbPlace& place : places) {
      const auto next = std::lower_bound(ends_m.begin(), ends_m.end(), place.along_m);
      const double away_m = settings_.candidates.from_driveway_m;
      const bool near = (next != ends_m.end() && *next - place.along_m < away_m) ||
                        (next != ends_m.begin() && place.along_m - *std::prev(next) < away_m);
      if (near && !place.no_basin) place.no_basin = WhyNone::Driveway;
    }
  }

  void mark_corners(std::size_t row, CurbRow& places) const {
    if (row >= faces_.faces().size()) return;
    const street::BlockFace& face = faces_.faces()[row];
    const double away_m = settings_.candidates.from_corner_m;
    for (CurbPlace& place : places.places) {
      const double readings_m[2] = {place.along_m + face.ends[0].reading_m,
                                    face.length_m - place.along_m + face.ends[1].reading_m};
      for (std::size_t e = 0; e < 2; ++e) {
        if (!face.ends[e].cross.empty() && readings_m[e] < away_m) place.no_basin = WhyNone::Corner;
      }
    }
  }

  /// The user's cuts and all other sites. A cut counts along its own curb.
  void mark_sites() {
    for (std::size_t g = 0; g < rows_.size(); ++g) {
      for (std::size_t i = 0; i < rows_[g].places.size(); ++i) {
        CurbPlace& place = rows_[g].places[i];
        spots_.emplace_back(static_cast<std::int32_t>(g), static_cast<std::int32_t>(i));
        stations_.add(place.at, static_cast<std::int32_t>(spots_.size()) - 1);
        if (sites_.any_nearer(place.at, settings_.candidates.from_inlet_m)) place.no_cut = WhyNone::Inlet;
      }
    }
    const double spacing_m = settings_.candidates.spacing_m;
    for (const street::Site& site : in_.inputs->sites) {
      std::tuple<double, std::int32_t, std::int32_t> best{HUGE_VAL, -1, -1};
      stations_.within(site.at, settings_.street.snap_m + 1.0, [&](std::int32_t what, double off_m) {
        const auto& spot = spots_[static_cast<std::size_t>(what)];
        best = std::min(best, std::tuple(off_m, spot.first, spot.second));
      });
      if (std::get<1>(best) < 0) continue;
      std::vector<CurbPlace>& places = rows_[static_cast<std::size_t>(std::get<1>(best))].places;
      const CurbPlace own = places[static_cast<std::size_t>(std::get<2>(best))];
      const bool cut = site.kind == street::SiteKind::Cut;
      for (CurbPlace& place : places) {
        if (cut && std::abs(place.along_m - own.along_m) < spacing_m) place.no_cut = WhyNone::Cut;
        if (!cut && place.gutter_cell == own.gutter_cell) place.no_cut = WhyNone::Inlet;
      }
    }
  }

  const CandidateInputs& in_;
  const std::vector<terrain::CurbLine>& curbs_;
  const study::Settings& settings_;
  street::BlockFaces faces_;
  NearPoints gaps_;
  NearPoints sites_;
  NearPoints stations_;
  std::vector<std::pair<std::int32_t, bool>> unnamed_;  ///< row and whether it runs backwards
  std::vector<CurbRow> rows_;
  std::vector<std::pair<std::int32_t, std::int32_t>> spots_;
};

}  // namespace

std::vector<CurbRow> curb_rows(const CandidateInputs& inputs, const study::Settings& settings) {
  return Rows(inputs, settings).make();
}

}  // namespace curbshed::siting::detail
