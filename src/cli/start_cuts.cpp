#include "curbshed/cli/start_cuts.hpp"

#include <algorithm>
#include <cctype>
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

struct Draft {
  std::string street;
  std::string side;
  base::Point at;
  std::string words;
};

/// Mean of the known heights around a place that lies `kIntoStreet_m` off the curb into the street.
std::optional<double> street_height_m(const terrain::CurbLine& curb, double along_m,
                                      const terrain::Ground& ground) {
  const base::Point before = base::point_along(curb.line, along_m - 0.5);
  const base::Point after = base::point_along(curb.line, along_m + 0.5);
  const double step_m = base::distance_m(before, after);
  if (!(step_m > 0.0)) {
    return std::nullopt;
  }
  const double left = curb.street_side == terrain::StreetSide::Right ? -1.0 : 1.0;
  const base::Point at = base::point_along(curb.line, along_m);
  const base::Point in{at.x_m - left * kIntoStreet_m * (after.y_m - before.y_m) / step_m,
                       at.y_m + left * kIntoStreet_m * (after.x_m - before.x_m) / step_m};
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

std::string id_part(const std::string& words) {
  std::string out;
  for (const char c : words) {
    const auto byte = static_cast<unsigned char>(c);
    if (std::isalnum(byte) != 0 || byte > 127) {
      out += static_cast<char>(std::tolower(byte));
    } else if (!out.empty() && out.back() != '-') {
      out += '-';
    }
  }
  while (!out.empty() && out.back() == '-') {
    out.pop_back();
  }
  return out;
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
  for (std::size_t i = 0; i < curbs.size(); ++i) {
    const terrain::CurbLine& curb = curbs[i];
    const bool raised = curb.kind == terrain::CurbKind::Vertical || curb.kind == terrain::CurbKind::Rolled;
    if (!use[i] || !raised || curb.line.size() < 2) {
      continue;
    }
    for (const auto& place : places_on(curb, ground)) {
      const base::Point at = base::point_along(curb.line, place.first);
      const bool inside = at.x_m > box.min_x_m + kFromEdge_m && at.x_m < box.max_x_m - kFromEdge_m &&
                          at.y_m > box.min_y_m + kFromEdge_m && at.y_m < box.max_y_m - kFromEdge_m;
      if (inside && street_height_m(curb, place.first, ground)) {
        drafts.push_back({curb.street, curb.side, at, place.second});
      }
    }
  }
  const auto order = [](const Draft& d) {
    return std::tuple(d.street, d.side, d.at.x_m + d.at.y_m, d.at.x_m);
  };
  std::sort(drafts.begin(), drafts.end(),
            [&](const Draft& a, const Draft& b) { return order(a) < order(b); });
  std::map<std::string, int> count;
  std::vector<TrialCut> cuts;
  for (const Draft& draft : drafts) {
    std::string face = id_part(draft.street.empty() ? std::string("cut") : draft.street);
    face += draft.side.empty() ? "" : "-" + id_part(draft.side);
    cuts.push_back({fmt::format("{}-{}", face, ++count[face]), draft.at, draft.words});
  }
  return cuts;
}

}  // namespace curbshed::cli
