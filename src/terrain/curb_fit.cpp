#include "curbshed/base/error.hpp"

#include "terrain/curb_levels.hpp"

#include <optional>

// off, along, height: as in SlopeSample. a, b, c: height at the curb face, cross slope, grade.

namespace curbshed::terrain::detail {

namespace {

constexpr double kMedianToSigma = 1.4826;  ///< of the absolute deviation, normal residuals
constexpr double kLeastScale_m = 1e-5;     ///< float heights are no better
constexpr double kGradeSpread = 0.10;      ///< how far the true grade may lie from the median one
constexpr double kLeastFall_m = 0.003;     ///< a fall beyond the crown that is more than rounding
constexpr int kMostRounds = 20;

/// Middle value, the mean of the two middle ones of an even count. Not empty.
double median(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  if (values.size() % 2 == 1) return *middle;
  return 0.5 * (*middle + *std::max_element(values.begin(), middle));
}

/// Samples of one strip along the curb.
struct Strip {
  std::vector<SlopeSample> samples;
  double off_m = 0.0;
  double height_m = 0.0;  ///< median, grade taken off
};

std::vector<Strip> strips_of(const std::vector<SlopeSample>& samples, double cell_m) {
  double nearest = samples.front().off_m;
  for (const SlopeSample& s : samples) nearest = std::min(nearest, s.off_m);
  std::vector<Strip> strips;
  for (const SlopeSample& s : samples) {
    const auto k = static_cast<std::size_t>((s.off_m - nearest) / cell_m);
    if (strips.size() <= k) strips.resize(k + 1);
    strips[k].samples.push_back(s);
  }
  strips.erase(std::remove_if(strips.begin(), strips.end(), [](const Strip& s) { return s.samples.empty(); }),
               strips.end());
  for (Strip& strip : strips) {
    std::sort(strip.samples.begin(), strip.samples.end(), [](const SlopeSample& a, const SlopeSample& b) {
      return a.along_m != b.along_m ? a.along_m < b.along_m : a.off_m < b.off_m;
    });
    double sum = 0.0;
    for (const SlopeSample& s : strip.samples) sum += s.off_m;
    strip.off_m = sum / static_cast<double>(strip.samples.size());
  }
  return strips;
}

/// Median slope between samples of one strip that lie half the strip apart.
double median_grade(const std::vector<Strip>& strips, double cell_m) {
  std::vector<double> slopes;
  for (const Strip& strip : strips) {
    const std::size_t half = (strip.samples.size() + 1) / 2;
    for (std::size_t i = 0; i + half < strip.samples.size(); ++i) {
      const double way = strip.samples[i + half].along_m - strip.samples[i].along_m;
      if (way < 2.0 * cell_m) continue;
      slopes.push_back((strip.samples[i + half].height_m - strip.samples[i].height_m) / way);
    }
  }
  return slopes.empty() ? 0.0 : median(std::move(slopes));
}

/// Fills the strips' heights; returns the standard deviation of one sample about its strip.
double level_strips(std::vector<Strip>& strips, double grade) {
  std::vector<double> off;
  for (Strip& strip : strips) {
    std::vector<double> heights;
    for (const SlopeSample& s : strip.samples) heights.push_back(s.height_m - grade * s.along_m);
    strip.height_m = median(heights);
    for (const double h : heights) off.push_back(std::abs(h - strip.height_m));
  }
  return kMedianToSigma * median(std::move(off));
}

/// Strips before the crown: the highest strip, if the ground rises to it and falls after it by more than the
/// noise.
std::size_t strips_before_crown(const std::vector<Strip>& strips, double sigma_m) {
  std::size_t top = 0;
  for (std::size_t k = 1; k < strips.size(); ++k) {
    if (strips[k].height_m > strips[top].height_m) top = k;
  }
  const auto higher = [&](const Strip& high, const Strip& low) {
    const double doubt = 1.25 * sigma_m *
                         std::sqrt(1.0 / static_cast<double>(high.samples.size()) +
                                   1.0 / static_cast<double>(low.samples.size()));
    return high.height_m - low.height_m > std::max(2.0 * doubt, kLeastFall_m);
  };
  bool falls = false;
  for (std::size_t k = top + 1; k < strips.size(); ++k) falls = falls || higher(strips[top], strips[k]);
  if (!falls || top == 0 || !higher(strips[top], strips[0])) return strips.size();
  return top >= 2 ? top : top + 1;  // the strip of the crown itself holds both sides
}

double median_cross_slope(const std::vector<Strip>& strips, std::size_t count, double otherwise) {
  std::vector<double> slopes;
  for (std::size_t i = 0; i < count; ++i) {
    for (std::size_t j = i + 1; j < count; ++j) {
      slopes.push_back((strips[j].height_m - strips[i].height_m) / (strips[j].off_m - strips[i].off_m));
    }
  }
  return slopes.empty() ? otherwise : median(std::move(slopes));
}

double residual(const SlopeFit& fit, const SlopeSample& s) {
  return s.height_m - fit.at_curb_m - fit.cross_slope * s.off_m - fit.grade * s.along_m;
}

/// One weighted least-squares step about `fit`; unchanged when the equations say nothing.
SlopeFit weighted_step(const std::vector<SlopeSample>& samples, const SlopeFit& fit, const SlopeFit& expected,
                       double spread, double scale_m) {
  // Normal equations for the change (da, db, dc).
  double n = 0.0, so = 0.0, sl = 0.0, soo = 0.0, sol = 0.0, sll = 0.0, sr = 0.0, sor = 0.0, slr = 0.0;
  for (const SlopeSample& s : samples) {
    const double r = residual(fit, s);
    const double u = r / (kBisquareTuning * scale_m);
    if (std::abs(u) >= 1.0) continue;
    const double w = (1.0 - u * u) * (1.0 - u * u);
    n += w;
    so += w * s.off_m;
    sl += w * s.along_m;
    soo += w * s.off_m * s.off_m;
    sol += w * s.off_m * s.along_m;
    sll += w * s.along_m * s.along_m;
    sr += w * r;
    sor += w * s.off_m * r;
    slr += w * s.along_m * r;
  }
  if (n < 1e-9) return fit;
  const double pull_b = scale_m * scale_m / (spread * spread);
  const double pull_c = scale_m * scale_m / (kGradeSpread * kGradeSpread);
  // Means taken off: two equations for db and dc.
  const double a11 = soo - so * so / n + pull_b;
  const double a12 = sol - so * sl / n;
  const double a22 = sll - sl * sl / n + pull_c;
  const double b1 = sor - so * sr / n + pull_b * (expected.cross_slope - fit.cross_slope);
  const double b2 = slr - sl * sr / n + pull_c * (expected.grade - fit.grade);
  const double det = a11 * a22 - a12 * a12;
  if (!(det > 0.0)) return fit;
  SlopeFit next;
  const double db = (b1 * a22 - b2 * a12) / det;
  const double dc = (a11 * b2 - a12 * b1) / det;
  next.cross_slope = fit.cross_slope + db;
  next.grade = fit.grade + dc;
  next.at_curb_m = fit.at_curb_m + (sr - so * db - sl * dc) / n;
  return next;
}

}  // namespace

SlopeFit fit_slope(std::vector<SlopeSample> samples, double cell_m, double expected_cross_slope,
                   double spread) {
  base::ensure(samples.size() >= 6, "a slope is fitted to at least 6 samples");
  std::vector<Strip> strips = strips_of(samples, cell_m);
  SlopeFit fit;
  fit.grade = median_grade(strips, cell_m);
  const double sigma_m = level_strips(strips, fit.grade);
  const std::size_t used = strips_before_crown(strips, sigma_m);
  fit.cross_slope = median_cross_slope(strips, used, expected_cross_slope);
  samples.clear();
  for (std::size_t k = 0; k < used; ++k) {
    samples.insert(samples.end(), strips[k].samples.begin(), strips[k].samples.end());
  }
  std::vector<double> values;
  for (const SlopeSample& s : samples) values.push_back(residual(fit, s));
  fit.at_curb_m = median(values);
  const SlopeFit expected{0.0, expected_cross_slope, fit.grade};
  for (int round = 0; round < kMostRounds; ++round) {
    values.clear();
    for (const SlopeSample& s : samples) values.push_back(std::abs(residual(fit, s)));
    const double scale_m = std::max(kMedianToSigma * median(values), kLeastScale_m);
    const SlopeFit next = weighted_step(samples, fit, expected, spread, scale_m);
    const double change =
        std::abs(next.at_curb_m - fit.at_curb_m) + std::abs(next.cross_slope - fit.cross_slope);
    fit = next;
    if (change < 1e-7) break;
  }
  return fit;
}

}  // namespace curbshed::terrain::detail
