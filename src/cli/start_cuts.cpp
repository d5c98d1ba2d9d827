#include "curbshed/cli/start_cuts.hpp"

#include "curbshed/street/place_words.hpp"
#include "curbshed/terrain/shown_curbs.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <tuple>

#include <fmt/format.h>

namespace curbshed::cli {
namespace {

constexpr double kShortest_m = 25.0;
constexpr double kTwoFrom_m = 60.0;
constexpr double kFromLowerEnd_m = 12.0;
constexpr double kIntoStreet_m = 1.5;
constexpr double kFromEdge_m = 5.0;

constexpr double kKeepOff_m = 2.0;  // of driveways and corners, to each side
constexpr double kSampleEach_m = 1.0;
constexpr double kMoveAtMost_m = 12.0;   // to get off them
constexpr double kStepWithin_m = 0.75;   // of the curb line
constexpr double kStraightCosine = 0.9;  // 26° over the way kept off

struct Draft {
  std::string street;
  std::string side;
  std::string id;
  base::Point at;
  std::string words;
};

struct Beside {
  base::Point at;
  base::Point along;  ///< unit
  base::Point to_street;
};

std::optional<Beside> beside(const terrain::CurbLine& curb, double along_m) {
  const base::Point before = base::point_along(curb.line, along_m - 0.5);
  const base::Point after = base::point_along(curb.line, along_m + 0.5);
  const double step_m = base::distance_m(before, after);
  if (!(step_m > 0.0)) {
    return std::nullopt;
  }
  const double left = curb.street_side == terrain::StreetSide::Right ? -1.0 : 1.0;
  const base::Point along{(after.x_m - before.x_m) / step_m, (after.y_m - before.y_m) / step_m};
  return Beside{base::point_along(curb.line, along_m), along, {-left * along.y_m, left * along.x_m}};
}

/// Where along a curb the ground shows it: a step up of half its height or more. A driveway, a ramp and an
/// alley show none.
class ShownAlong {
 public:
  ShownAlong(const terrain::CurbLine& curb, const terrain::Ground& ground) : curb_(curb) {
    const double usual_m = curb.kind == terrain::CurbKind::Rolled ? terrain::CurbSettings{}.rolled_height_m
                                                                  : terrain::CurbSettings{}.vertical_height_m;
    const double wanted_m = 0.5 * curb.height_m.value_or(usual_m);
    const double length_m = base::length_m(curb.line);
    std::size_t shown = 0;
    for (double s = 0.0; s <= length_m; s += kSampleEach_m) {
      const std::optional<Beside> here = beside(curb, s);
      const std::optional<double> step =
          here ? terrain::step_near(ground, here->at, here->to_street, kStepWithin_m) : std::nullopt;
      shown_.push_back(step && *step >= wanted_m);
      shown += shown_.back() ? 1U : 0U;
    }
    tells_ = 2 * shown > shown_.size();
  }

  /// More than half of the curb shows: then what does not show is no curb.
  bool tells() const { return tells_; }

  bool free_at(double along_m) const {
    const double length_m = base::length_m(curb_.line);
    if (along_m < kKeepOff_m || along_m > length_m - kKeepOff_m) return false;
    const std::optional<Beside> before = beside(curb_, along_m - kKeepOff_m);
    const std::optional<Beside> after = beside(curb_, along_m + kKeepOff_m);
    if (!before || !after) return false;
    const double straight = before->along.x_m * after->along.x_m + before->along.y_m * after->along.y_m;
    if (straight < kStraightCosine) return false;
    if (!tells_) return true;
    const auto first = static_cast<std::size_t>(std::floor((along_m - kKeepOff_m) / kSampleEach_m));
    const auto last = std::min(shown_.size() - 1,
                               static_cast<std::size_t>(std::ceil((along_m + kKeepOff_m) / kSampleEach_m)));
    return std::all_of(shown_.begin() + static_cast<std::ptrdiff_t>(first),
                       shown_.begin() + static_cast<std::ptrdiff_t>(last) + 1, [](bool one) { return one; });
  }

  /// The free place nearest to `along_m`; of two as near the one with the lower coordinates.
  std::optional<double> free_near(double along_m) const {
    for (double off = 0.0; off <= kMoveAtMost_m; off += 0.5 * kSampleEach_m) {
      const bool up = free_at(along_m + off);
      const bool down = free_at(along_m - off);
      if (up && down) {
        const base::Point a = base::point_along(curb_.line, along_m + off);
        const base::Point b = base::point_along(curb_.line, along_m - off);
        return std::tie(a.x_m, a.y_m) < std::tie(b.x_m, b.y_m) ? along_m + off : along_m - off;
      }
      if (up || down) return up ? along_m + off : along_m - off;
    }
    return std::nullopt;
  }

 private:
  const terrain::CurbLine& curb_;
  std::vector<bool> shown_;
  bool tells_ = false;
};

/// Mean of the known heights around a place that lies `kIntoStreet_m` off the curb into the street.
std::optional<double> street_height_m(const terrain::CurbLine& curb, double along_m,
                                      const terrain::Ground& ground) {
  const std::optional<Beside> place = beside(curb, along_m);
  if (!place) {
    return std::nullopt;
  }
  const base::Point in{place->at.x_m + kIntoStreet_m * place->to_street.x_m,
                       place->at.y_m + kIntoStreet_m * place->to_street.y_m};
  const terrain::GridFrame& frame = ground.frame;
  double sum = 0.0;
  int known = 0;
  for (std::int64_t row = frame.row_of(in.y_m) - 1; row <= frame.row_of(in.y_m) + 1; ++row) {
    for (std::int64_t col = frame.col_of(in.x_m) - 1; col <= frame.col_of(in.x_m) + 1; ++col) {
      if (frame.inside(row, col) && ground.valid.at(row, col) != 0) {
        sum += static_cast<double>(ground.height_m.at(row, col));
        ++known;
      }
    }
  }
  return known > 0 ? std::optional<double>(sum / known) : std::nullopt;
}

/// Places along one curb, from its first point.
std::vector<std::pair<double, std::string>> places_on(const terrain::CurbLine& curb,
                                                      const terrain::Ground& ground) {
  const double length_m = base::length_m(curb.line);
  if (length_m < kShortest_m) {
    return {};
  }
  std::vector<std::pair<double, std::string>> places = {{0.5 * length_m, "middle of the block"}};
  const double near_m = kFromLowerEnd_m;
  const std::optional<double> front = street_height_m(curb, near_m, ground);
  const std::optional<double> back = street_height_m(curb, length_m - near_m, ground);
  if (length_m >= kTwoFrom_m && front && back) {
    places.emplace_back(*front < *back ? near_m : length_m - near_m, "lower end of the block");
  }
  return places;
}

}  // namespace

std::vector<TrialCut> trial_cuts(const std::vector<terrain::CurbLine>& curbs, const std::vector<bool>& use,
                                 const terrain::Ground& ground, const base::Box& box) {
  std::vector<Draft> drafts;
  const street::BlockFaces faces(curbs, street::kMeetCells * ground.frame.cell_m);
  for (std::size_t i = 0; i < curbs.size(); ++i) {
    const terrain::CurbLine& curb = curbs[i];
    const bool raised = curb.kind == terrain::CurbKind::Vertical || curb.kind == terrain::CurbKind::Rolled;
    if (!use[i] || !raised || curb.line.size() < 2) {
      continue;
    }
    const ShownAlong shown(curb, ground);
    for (const auto& wanted : places_on(curb, ground)) {
      const std::optional<double> along_m = shown.free_near(wanted.first);
      if (!along_m) {
        continue;
      }
      const base::Point at = base::point_along(curb.line, *along_m);
      const bool inside = at.x_m > box.min_x_m + kFromEdge_m && at.x_m < box.max_x_m - kFromEdge_m &&
                          at.y_m > box.min_y_m + kFromEdge_m && at.y_m < box.max_y_m - kFromEdge_m;
      if (inside && street_height_m(curb, *along_m, ground)) {
        const street::FacePlace place = faces.place(i, *along_m);
        std::string words = wanted.second;
        words += shown.tells() ? "" : "; the ground does not show the curb here: look out for driveways";
        drafts.push_back({curb.street, curb.side, street::place_id(faces, place), at, words});
      }
    }
  }
  const auto order = [](const Draft& d) {
    return std::tuple(d.street, d.side, d.at.x_m + d.at.y_m, d.at.x_m);
  };
  std::sort(drafts.begin(), drafts.end(),
            [&](const Draft& a, const Draft& b) { return order(a) < order(b); });
  std::map<std::string, int> used;
  std::vector<TrialCut> cuts;
  for (const Draft& draft : drafts) {
    const std::string id = draft.id.empty() ? std::string("cut") : draft.id;
    const int count = ++used[id];
    cuts.push_back(
        {count == 1 && !draft.id.empty() ? id : fmt::format("{}-{}", id, count), draft.at, draft.words});
  }
  return cuts;
}

}  // namespace curbshed::cli
