#include "street/fits.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace curbshed::street::detail {

namespace {

double median(std::vector<double>& values) {
  const std::size_t half = values.size() / 2;
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(half);
  std::nth_element(values.begin(), middle, values.end());
  if (values.size() % 2 == 1) return *middle;
  const double above = *middle;
  return 0.5 * (above + *std::max_element(values.begin(), middle));
}

/// Weighted sums about the means, for the two slopes of a plane.
struct Normal {
  double s0 = 0.0, d0 = 0.0, z0 = 0.0;
  double ss = 0.0, sd = 0.0, dd = 0.0, sz = 0.0, dz = 0.0;
  double det() const { return ss * dd - sd * sd; }
};

Normal normal_sums(const std::vector<PlanePoint>& points, const std::vector<double>& weight) {
  Normal n;
  double total = 0.0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    total += weight[i];
    n.s0 += weight[i] * points[i].s_m;
    n.d0 += weight[i] * points[i].d_m;
    n.z0 += weight[i] * points[i].z_m;
  }
  n.s0 /= total;
  n.d0 /= total;
  n.z0 /= total;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const double s = points[i].s_m - n.s0;
    const double d = points[i].d_m - n.d0;
    const double z = points[i].z_m - n.z0;
    n.ss += weight[i] * s * s;
    n.sd += weight[i] * s * d;
    n.dd += weight[i] * d * d;
    n.sz += weight[i] * s * z;
    n.dz += weight[i] * d * z;
  }
  return n;
}

}  // namespace

double theil_sen_slope(const std::vector<double>& s_m, const std::vector<double>& z_m) {
  std::vector<double> slopes;
  for (std::size_t i = 0; i < s_m.size(); ++i) {
    for (std::size_t j = i + 1; j < s_m.size(); ++j) {
      const double run = s_m[j] - s_m[i];
      if (std::fabs(run) > 1e-9) slopes.push_back((z_m[j] - z_m[i]) / run);
    }
  }
  return slopes.empty() ? 0.0 : median(slopes);
}

double slope_error(const std::vector<double>& s_m, double error_m, double range_m) {
  double mean = 0.0;
  for (const double s : s_m) mean += s;
  mean /= static_cast<double>(s_m.size());
  double spread = 0.0;
  for (const double s : s_m) spread += (s - mean) * (s - mean);
  if (!(spread > 1e-12)) return std::numeric_limits<double>::infinity();
  double sum = 0.0;
  for (std::size_t i = 0; i < s_m.size(); ++i) {
    sum += (s_m[i] - mean) * (s_m[i] - mean);
    for (std::size_t j = i + 1; j < s_m.size(); ++j) {
      const double correlation = range_m > 0.0 ? std::exp(-std::fabs(s_m[i] - s_m[j]) / range_m) : 0.0;
      sum += 2.0 * (s_m[i] - mean) * (s_m[j] - mean) * correlation;
    }
  }
  return error_m * std::sqrt(sum) / spread;
}

PlaneFit robust_plane(const std::vector<PlanePoint>& points, double error_m, double range_m) {
  constexpr int kRounds = 12;
  constexpr double kHuber = 1.345;           // 95 % efficiency for normal errors (Huber 1964)
  constexpr double kScaleOfMedian = 1.4826;  // median absolute residual to standard deviation, normal errors
  PlaneFit fit;
  if (points.size() < 6) return fit;
  std::vector<double> weight(points.size(), 1.0);
  std::vector<double> residual(points.size());
  Normal n;
  for (int round = 0; round < kRounds; ++round) {
    n = normal_sums(points, weight);
    if (!(n.det() > 1e-9 * (n.ss + 1e-12) * (n.dd + 1e-12)) || !(n.dd > 1e-9)) return fit;
    const double b = (n.sz * n.dd - n.dz * n.sd) / n.det();
    fit.slope_d = (n.dz * n.ss - n.sz * n.sd) / n.det();
    for (std::size_t i = 0; i < points.size(); ++i) {
      residual[i] =
          std::fabs(points[i].z_m - n.z0 - b * (points[i].s_m - n.s0) - fit.slope_d * (points[i].d_m - n.d0));
    }
    std::vector<double> sorted = residual;
    const double limit = kHuber * std::max(kScaleOfMedian * median(sorted), 1e-6);
    for (std::size_t i = 0; i < points.size(); ++i)
      weight[i] = residual[i] <= limit ? 1.0 : limit / residual[i];
  }
  // slope_d = Σ g z with g = w (d·ss − s·sd) / det; its variance under correlated heights.
  std::vector<double> g(points.size());
  for (std::size_t i = 0; i < points.size(); ++i) {
    g[i] = weight[i] * ((points[i].d_m - n.d0) * n.ss - (points[i].s_m - n.s0) * n.sd) / n.det();
  }
  double sum = 0.0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    sum += g[i] * g[i];
    for (std::size_t j = i + 1; j < points.size(); ++j) {
      const double apart = std::hypot(points[i].s_m - points[j].s_m, points[i].d_m - points[j].d_m);
      sum += 2.0 * g[i] * g[j] * (range_m > 0.0 ? std::exp(-apart / range_m) : 0.0);
    }
  }
  fit.slope_d_error = error_m * std::sqrt(std::max(0.0, sum));
  fit.found = true;
  return fit;
}

}  // namespace curbshed::street::detail
