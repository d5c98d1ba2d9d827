#include "street/cross_sections.hpp"

#include "curbshed/terrain/height_at.hpp"

#include "street/fits.hpp"
#include "street/plane.hpp"

#include <limits>

namespace curbshed::street::detail {

namespace {

constexpr double kNarrowest_m = 1.25;   ///< half of the narrowest street
constexpr double kAgree_m = 0.75;       ///< steps this near each other are one curb
constexpr double kLeastShare = 0.35;    ///< of the cross-sections that must show it
constexpr std::size_t kLeastCount = 3;  ///< cross-sections
constexpr double kLeastBreak = 0.04;    ///< from fall to rise at a low point without a step, m/m
constexpr double kGutterLook_m = 2.0;   ///< slopes to both sides of a low point are taken over this
constexpr double kNaN = std::numeric_limits<double>::quiet_NaN();

std::size_t at(double off_m) { return static_cast<std::size_t>(std::lround(off_m / kAcross_m)); }
double off(std::size_t k) { return static_cast<double>(k) * kAcross_m; }

/// Least-squares slope of profile[first … last]; NaN when a height is missing or the stretch is too short.
double slope(const std::vector<double>& profile, std::size_t first, std::size_t last) {
  if (last >= profile.size() || last < first + 2) return kNaN;
  const double n = static_cast<double>(last - first + 1);
  const double middle = 0.5 * (off(first) + off(last));
  double sum = 0.0;
  double squares = 0.0;
  for (std::size_t k = first; k <= last; ++k) {
    sum += (off(k) - middle) * profile[k];
    squares += (off(k) - middle) * (off(k) - middle);
  }
  return n > 2.0 ? sum / squares : kNaN;
}

/// Rise of the profile over ± half a step's width about each offset, the slope that both sides share taken
/// off. NaN where it cannot be told.
std::vector<double> step_heights(const std::vector<double>& profile, double cell_m) {
  const std::size_t half = std::max<std::size_t>(1, at(0.7 * cell_m));
  const std::size_t look = at(1.5);
  std::vector<double> heights(profile.size(), kNaN);
  for (std::size_t k = half + 3; k + half + 3 < profile.size(); ++k) {
    const double width = 2.0 * off(half);
    const std::size_t inner = k - half;
    const std::size_t outer = k + half;
    const double in = slope(profile, inner > look ? inner - look : 0, inner);
    const double out = slope(profile, outer, std::min(outer + look, profile.size() - 1));
    const double common = std::max(0.0, std::min(in, out));
    heights[k] = profile[outer] - profile[inner] - width * common;
  }
  return heights;
}

/// Middle of the rise about offset k: mean of the offsets weighted by what rises there.
double middle_of_step(const std::vector<double>& profile, std::size_t k, double cell_m) {
  const std::size_t half = std::max<std::size_t>(2, at(cell_m));
  const std::size_t first = k > half ? k - half : 0;
  const std::size_t last = std::min(k + half, profile.size() - 1);
  double weight = 0.0;
  double sum = 0.0;
  for (std::size_t i = first; i < last; ++i) {
    const double rise = std::max(0.0, profile[i + 1] - profile[i] - 0.04 * kAcross_m);
    weight += rise;
    sum += rise * (off(i) + 0.5 * kAcross_m);
  }
  return weight > 0.0 ? sum / weight : off(k);
}

const std::vector<double>& profile_of(const Section& section, bool left) {
  return left ? section.left : section.right;
}

/// Standard error of a median over places `spacing` apart whose errors are alike over `range`.
double median_error(const std::vector<double>& values, const SideLook& look) {
  const double n = static_cast<double>(values.size());
  const double alike = std::max(1.0, 2.0 * look.range_m / look.spacing_m);
  return 1.2533 * spread_of(values) / std::sqrt(std::max(1.0, n / alike));
}

struct Voted {
  double off_m = 0.0;
  std::size_t votes = 0;
};

/// The nearest offset that enough cross-sections agree on; a farther one counts when twice as many do.
Voted agreed_step(const std::vector<std::vector<Step>>& steps, double reach_m) {
  std::vector<std::size_t> votes;
  for (std::size_t k = 0; off(k) <= reach_m; ++k) {
    std::size_t count = 0;
    for (const std::vector<Step>& one : steps) {
      const bool near = std::any_of(one.begin(), one.end(),
                                    [&](const Step& s) { return std::abs(s.off_m - off(k)) <= kAgree_m; });
      count += near ? 1 : 0;
    }
    votes.push_back(count);
  }
  const auto most = votes.empty() ? 0 : *std::max_element(votes.begin(), votes.end());
  const double least =
      std::max(static_cast<double>(kLeastCount),
               std::max(kLeastShare * static_cast<double>(steps.size()), 0.5 * static_cast<double>(most)));
  for (std::size_t k = 0; k < votes.size(); ++k) {
    if (static_cast<double>(votes[k]) < least) continue;
    // The top of this hill of votes, the middle of its plateau.
    std::size_t top = k;
    for (std::size_t i = k; i < votes.size() && off(i) <= off(k) + 2.0 * kAgree_m; ++i) {
      if (votes[i] > votes[top]) top = i;
    }
    std::size_t end = top;
    while (end + 1 < votes.size() && votes[end + 1] == votes[top] &&
           off(end + 1) <= off(top) + 2.0 * kAgree_m)
      ++end;
    return {0.5 * (off(top) + off(end)), votes[top]};
  }
  return {};
}

/// Median profile of some cross-sections, each less its height at the line.
std::vector<double> stacked(const std::vector<Section>& sections, bool left, std::size_t first,
                            std::size_t last) {
  std::vector<double> out;
  for (std::size_t k = 0;; ++k) {
    std::vector<double> values;
    bool inside = false;
    for (std::size_t i = first; i < last; ++i) {
      const std::vector<double>& profile = profile_of(sections[i], left);
      if (k >= profile.size()) continue;
      inside = true;
      if (std::isfinite(profile[k]) && std::isfinite(profile[0])) values.push_back(profile[k] - profile[0]);
    }
    if (!inside) return out;
    out.push_back(values.empty() ? kNaN : median_of(values));
  }
}

/// The nearest place where a fall outward turns into a rise; 0 when there is none.
double low_point(const std::vector<double>& profile) {
  const std::size_t look = at(kGutterLook_m);
  double best = 0.0;
  double sharpest = kLeastBreak;
  for (std::size_t k = at(kNarrowest_m + 0.5); k + look < profile.size(); ++k) {
    const double in = slope(profile, k > look ? k - look : 0, k);
    const double out = slope(profile, k, k + look);
    if (!(in < 0.0 && out > 0.0)) continue;
    if (out - in > sharpest) {
      sharpest = out - in;
      best = off(k);
    }
    if (best > 0.0 && off(k) > best + kGutterLook_m) break;
  }
  return best;
}

/// Low points in groups of cross-sections: the noise of one is larger than what is looked for.
void fit_low_point(const std::vector<Section>& sections, bool left, const SideLook& look, SideFit& side) {
  const std::size_t group = std::max<std::size_t>(3, at(25.0) / at(std::max(look.spacing_m, kAcross_m)));
  std::vector<double> found;
  std::size_t groups = 0;
  for (std::size_t first = 0; first + 3 <= sections.size(); first += group) {
    const std::size_t last = std::min(first + group, sections.size());
    if (last - first < 3) break;
    ++groups;
    const double low = low_point(stacked(sections, left, first, last));
    if (low > 0.0) found.push_back(low);
  }
  if (groups < 2 || static_cast<double>(found.size()) < 0.6 * static_cast<double>(groups)) return;
  const double middle = median_of(found);
  found.erase(std::remove_if(found.begin(), found.end(),
                             [&](double v) { return std::abs(v - middle) > 2.0 * kAgree_m; }),
              found.end());
  if (static_cast<double>(found.size()) < 0.6 * static_cast<double>(groups)) return;
  side.curb_shown = true;
  side.share = static_cast<double>(found.size()) / static_cast<double>(groups);
  side.off_m = median_of(found);
  side.off_error_m = std::max(0.3, 1.2533 * spread_of(found) / std::sqrt(static_cast<double>(found.size())));
}

}  // namespace

std::vector<Section> cross_sections(const terrain::Ground& ground, const base::Polyline& line, double from_m,
                                    double to_m, double spacing_m, double reach_m) {
  std::vector<Section> sections;
  if (!(to_m >= from_m)) return sections;
  // Whole spacings about the middle: both ends are left out alike.
  const auto count = static_cast<std::int64_t>(std::floor((to_m - from_m) / spacing_m)) + 1;
  const double first = 0.5 * (from_m + to_m) - 0.5 * spacing_m * static_cast<double>(count - 1);
  const std::size_t places = at(reach_m) + 1;
  const double length = base::length_m(line);
  for (std::int64_t i = 0; i < count; ++i) {
    Section section;
    section.along_m = first + spacing_m * static_cast<double>(i);
    const base::Point p = base::point_along(line, section.along_m);
    const base::Point way = unit(minus(base::point_along(line, std::min(section.along_m + 2.0, length)),
                                       base::point_along(line, std::max(section.along_m - 2.0, 0.0))));
    for (std::size_t k = 0; k < places; ++k) {
      const base::Point across = times(off(k), left_of(way));
      section.left.push_back(terrain::height_at(ground, plus(p, across)).value_or(kNaN));
      section.right.push_back(terrain::height_at(ground, minus(p, across)).value_or(kNaN));
    }
    sections.push_back(std::move(section));
  }
  return sections;
}

std::vector<Step> steps_in(const std::vector<double>& profile, double cell_m, double least_m) {
  const std::vector<double> heights = step_heights(profile, cell_m);
  std::vector<Step> steps;
  std::size_t top = 0;  // of the hill that is being walked over; 0 = none
  const auto close = [&] {
    if (top == 0) return;
    const double middle = middle_of_step(profile, top, cell_m);
    if (middle >= kNarrowest_m) steps.push_back({middle, heights[top]});
    top = 0;
  };
  for (std::size_t k = 1; k < heights.size(); ++k) {
    if (!(heights[k] >= least_m)) {
      close();
    } else if (top == 0 || heights[k] > heights[top]) {
      top = k;
    }
  }
  close();
  return steps;
}

SideFit fit_side(const std::vector<Section>& sections, bool left, const SideLook& look) {
  SideFit side;
  std::vector<std::vector<Step>> steps;
  double reach = 0.0;
  for (const Section& section : sections) {
    const std::vector<double>& profile = profile_of(section, left);
    reach = std::max(reach, off(profile.size()));
    steps.push_back(steps_in(profile, look.cell_m, look.least_step_m));
  }
  if (sections.size() < kLeastCount) return side;
  const Voted voted = agreed_step(steps, reach);
  std::vector<double> offs;
  std::vector<double> heights;
  for (const std::vector<Step>& one : steps) {
    const Step* nearest = nullptr;
    for (const Step& s : one) {
      const double way = std::abs(s.off_m - voted.off_m);
      if (way <= kAgree_m + 0.5 && (nearest == nullptr || way < std::abs(nearest->off_m - voted.off_m)))
        nearest = &s;
    }
    if (voted.votes == 0 || nearest == nullptr) continue;
    offs.push_back(nearest->off_m);
    heights.push_back(nearest->height_m);
  }
  if (voted.votes == 0 || offs.size() < kLeastCount) {
    fit_low_point(sections, left, look, side);
    return side;
  }
  side.curb_shown = true;
  side.share = static_cast<double>(offs.size()) / static_cast<double>(sections.size());
  side.off_m = median_of(offs);
  side.step_m = median_of(heights);
  const double sampling_m = 0.29 * look.cell_m / std::sqrt(std::max(1.0, look.rows_crossed));
  side.off_error_m = std::hypot(median_error(offs, look), sampling_m);
  return side;
}

void fit_fall(const std::vector<Section>& sections, bool left, double off_m, const SideLook& look,
              SideFit& side) {
  const double outer = off_m - std::max(look.cell_m, 0.5);
  const double inner = std::clamp(outer - 2.5, 0.0, 0.4 * off_m);
  std::vector<double> falls;
  if (outer - inner >= 3.0 * kAcross_m) {
    for (const Section& section : sections) {
      const std::vector<double>& profile = profile_of(section, left);
      const double rise = slope(profile, at(inner), at(outer));
      if (std::isfinite(rise)) falls.push_back(-rise);
    }
  }
  side.fall_error = std::numeric_limits<double>::infinity();
  if (falls.size() < kLeastCount) return;
  side.fall = median_of(falls);
  // The noise that is stated counts where the cross-sections happen to agree.
  const double way = outer - inner;
  const double one = look.error_m * std::sqrt(2.0 * (1.0 - std::exp(-way / look.range_m))) / way;
  const double alike = std::max(1.0, 2.0 * look.range_m / look.spacing_m);
  const double stated = 1.2533 * one / std::sqrt(std::max(1.0, static_cast<double>(falls.size()) / alike));
  side.fall_error = std::max(median_error(falls, look), stated);
}

}  // namespace curbshed::street::detail
