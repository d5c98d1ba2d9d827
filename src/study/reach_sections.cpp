#include "curbshed/study/reach_sections.hpp"

#include "study/node_water.hpp"
#include "study/reach_profile.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace curbshed::study {
namespace {

using street::NodeKind;

constexpr double kSample_m = 2.0;
constexpr double kNear_m = 3.0;
constexpr double kWindow_m = 30.0;
constexpr double kApart_m = 5.0;
constexpr std::size_t kLeastLevels = 5;

struct Sample {
  double along_m = 0.0;
  double level_m = 0.0;
  base::Point at;
};

/// Level of the nearest station; nothing where there is none. Ties to the first of the field.
std::optional<double> level_near(const StationBins& stations, base::Point p) {
  double best_m = std::numeric_limits<double>::infinity();
  std::optional<double> level;
  for (const terrain::CurbStation* s : stations.near(p, kNear_m)) {
    const double off_m = base::distance_m(s->at, p);
    if (off_m < best_m) {
      best_m = off_m;
      level = static_cast<double>(s->gutter_level_m);
    }
  }
  return level;
}

/// Along the drawn gutter, its length stretched to the reach's own.
std::vector<Sample> profile(const StationBins& stations, const base::Polyline& line, double length_m) {
  std::vector<Sample> samples;
  const double drawn_m = base::length_m(line);
  if (line.size() < 2 || !(drawn_m > 0.0)) return samples;
  double next_m = 0.0;
  double done_m = 0.0;
  for (std::size_t i = 0; i + 1 < line.size(); ++i) {
    const double piece_m = base::distance_m(line[i], line[i + 1]);
    for (; next_m <= done_m + piece_m && piece_m > 0.0; next_m += kSample_m) {
      const double part = (next_m - done_m) / piece_m;
      const base::Point p{line[i].x_m + part * (line[i + 1].x_m - line[i].x_m),
                          line[i].y_m + part * (line[i + 1].y_m - line[i].y_m)};
      if (const std::optional<double> level_m = level_near(stations, p)) {
        samples.push_back({next_m * length_m / drawn_m, *level_m, p});
      }
    }
    done_m += piece_m;
  }
  return samples;
}

/// Fall of the least-squares line through the samples within half a window.
std::optional<double> fall(const std::vector<Sample>& samples, double middle_m, double window_m) {
  double n = 0.0;
  double sx = 0.0;
  double sz = 0.0;
  double sxx = 0.0;
  double sxz = 0.0;
  for (const Sample& sample : samples) {
    const double x = sample.along_m - middle_m;
    if (std::fabs(x) > 0.5 * window_m + 1e-9) continue;
    const double z = sample.level_m - samples.front().level_m;
    n += 1.0;
    sx += x;
    sz += z;
    sxx += x * x;
    sxz += x * z;
  }
  const double spread = n * sxx - sx * sx;
  if (n < static_cast<double>(kLeastLevels) || !(spread > 0.0)) return std::nullopt;
  return -(n * sxz - sx * sz) / spread;
}

ReachSections sections_of(const std::vector<Sample>& samples, double length_m) {
  ReachSections out;
  if (samples.size() < kLeastLevels) return out;
  const double window_m = std::min(kWindow_m, length_m);
  for (double middle_m = 0.5 * window_m; middle_m <= length_m - 0.5 * window_m + 1e-9; middle_m += kApart_m) {
    const std::optional<double> grade = fall(samples, middle_m, window_m);
    if (!grade || (out.flattest_grade && std::max(0.0, *grade) >= *out.flattest_grade)) continue;
    out.flattest_grade = std::max(0.0, *grade);
    out.flattest_from_m = middle_m;
    const auto nearest =
        std::min_element(samples.begin(), samples.end(), [&](const Sample& a, const Sample& b) {
          return std::fabs(a.along_m - middle_m) < std::fabs(b.along_m - middle_m);
        });
    out.flattest_at = nearest->at;
  }
  return out;
}

}  // namespace

std::vector<ReachSections> reach_sections(const StationBins& stations,
                                          const std::vector<base::Polyline>& gutters,
                                          const street::Network& network) {
  std::vector<ReachSections> out(network.size());
  for (std::size_t n = 0; n < network.size() && n < gutters.size(); ++n) {
    if (network.downstream[n] < 0 || network.in_sag[n] >= 0) continue;
    const double length_m = network.reach_length_m[n];
    out[n] = sections_of(profile(stations, gutters[n], length_m), length_m);
  }
  return out;
}

std::vector<ReachSpread> reach_spreads(const ChainModel& model, const StormResult& result) {
  const std::vector<ReachSections>& reaches = model.reaches;
  const street::Network& network = model.network;
  std::vector<double> from_above_m3_s(network.size(), 0.0);
  for (std::size_t n = 0; n < network.size(); ++n) {
    street::each_way_down(network, n, [&](const street::WayDown& way) {
      from_above_m3_s[static_cast<std::size_t>(way.to)] += way.share * result.nodes[n].peak_leaving_m3_s;
    });
  }
  std::vector<ReachSpread> out(network.size());
  for (std::size_t n = 0; n < network.size(); ++n) {
    if (network.downstream[n] < 0 || network.in_sag[n] >= 0) continue;
    const auto down = static_cast<std::size_t>(network.downstream[n]);
    const bool ends_here = network.kind[down] == NodeKind::Sag || network.kind[down] == NodeKind::DataEdge;
    const street::SecondWay* second = street::second_way(network, n);
    const double goes_down = second == nullptr ? 1.0 : 1.0 - second->share;
    const double upper_m3_s = goes_down * result.nodes[n].peak_leaving_m3_s;
    const double grows_m3_s =
        ends_here ? 0.0 : std::max(0.0, result.nodes[down].peak_arriving_m3_s - from_above_m3_s[down]);
    if (!ends_here) {
      out[n].lower_end_m = water::spread_at_flow_m(gutter_of(model.params[down]), upper_m3_s + grows_m3_s);
    }
    if (n < reaches.size() && reaches[n].flattest_grade && network.reach_length_m[n] > 0.0) {
      NodeParams there = model.params[n];
      there.grade = std::max(*reaches[n].flattest_grade, model.least_grade);
      const double part = std::min(1.0, reaches[n].flattest_from_m / network.reach_length_m[n]);
      out[n].flattest_m = water::spread_at_flow_m(gutter_of(there), upper_m3_s + part * grows_m3_s);
    }
  }
  return out;
}

}  // namespace curbshed::study
