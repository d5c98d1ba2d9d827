#include "curbshed/base/error.hpp"

#include "terrain/curb_levels.hpp"
#include "terrain/middle_value.hpp"

#include <vector>

// off, along, height: as in SlopeSample. a, b, c: height at the curb face, cross slope, grade.

namespace curbshed::terrain::detail {

namespace {

constexpr double kMedianToSigma = 1.4826;  ///< of the absolute deviation, normal residuals
constexpr double kLeastScale_m = 1e-5;     ///< float heights are no better
constexpr double kGradeSpread = 0.10;      ///< how far the true grade may lie from the median one
constexpr double kLeastFall_m = 0.003;     ///< a fall beyond the crown that is more than rounding
constexpr int kMostRounds = 20;
constexpr double kSettled = 1e-5;  ///< metres at the curb and metres a metre: a hundredth of a millimetre

struct Strip {
  std::size_t first = 0;  ///< in FitRoom::sorted
  std::size_t last = 0;
  double off_m = 0.0;
  double height_m = 0.0;  ///< median, grade taken off
  std::size_t size() const { return last - first; }
};

}  // namespace

struct FitRoom::Room {
  std::vector<SlopeSample> sorted;  ///< strip after strip
  std::vector<Strip> strips;
  std::vector<std::size_t> strip_of;
  std::vector<double> values, off, along, height, residual, weight;
  MiddleValue middle;
};

namespace {

using Room = FitRoom::Room;

/// Cuts the samples into strips along the curb; within a strip they are sorted by (along, off).
void make_strips(std::span<const SlopeSample> samples, double cell_m, Room& room) {
  double nearest = samples.front().off_m;
  for (const SlopeSample& s : samples) nearest = std::min(nearest, s.off_m);
  room.strips.clear();
  room.strip_of.clear();
  for (const SlopeSample& s : samples) {
    const auto k = static_cast<std::size_t>((s.off_m - nearest) / cell_m);
    if (room.strips.size() <= k) room.strips.resize(k + 1);
    room.strip_of.push_back(k);
    ++room.strips[k].last;  // a count so far
  }
  std::size_t begin = 0;
  for (Strip& strip : room.strips) {
    const std::size_t count = strip.last;
    strip.first = strip.last = begin;
    begin += count;
  }
  room.sorted.resize(samples.size());
  for (std::size_t i = 0; i < samples.size(); ++i)
    room.sorted[room.strips[room.strip_of[i]].last++] = samples[i];
  room.strips.erase(
      std::remove_if(room.strips.begin(), room.strips.end(), [](const Strip& s) { return s.size() == 0; }),
      room.strips.end());
  const auto before = [](const SlopeSample& a, const SlopeSample& b) {
    return a.along_m != b.along_m ? a.along_m < b.along_m : a.off_m < b.off_m;
  };
  for (Strip& strip : room.strips) {
    const auto first = room.sorted.begin() + static_cast<std::ptrdiff_t>(strip.first);
    const auto last = room.sorted.begin() + static_cast<std::ptrdiff_t>(strip.last);
    const bool in_order = std::adjacent_find(first, last, [&](const SlopeSample& a, const SlopeSample& b) {
                            return !before(a, b);
                          }) == last;
    if (!in_order) std::sort(first, last, before);
    double sum = 0.0;
    for (auto s = first; s != last; ++s) sum += s->off_m;
    strip.off_m = sum / static_cast<double>(strip.size());
  }
}

/// Median slope between samples of one strip that lie half the strip apart.
double median_grade(Room& room, double cell_m) {
  room.values.clear();
  for (const Strip& strip : room.strips) {
    const std::size_t half = (strip.size() + 1) / 2;
    for (std::size_t i = strip.first; i + half < strip.last; ++i) {
      const SlopeSample& a = room.sorted[i];
      const SlopeSample& b = room.sorted[i + half];
      const double way = b.along_m - a.along_m;
      if (way < 2.0 * cell_m) continue;
      room.values.push_back((b.height_m - a.height_m) / way);
    }
  }
  return room.values.empty() ? 0.0 : room.middle.of(room.values);
}

/// Fills the strips' heights; returns the standard deviation of one sample about its strip.
double level_strips(Room& room, double grade) {
  std::vector<double>& off = room.residual;
  off.clear();
  for (Strip& strip : room.strips) {
    room.values.clear();
    for (std::size_t i = strip.first; i < strip.last; ++i)
      room.values.push_back(room.sorted[i].height_m - grade * room.sorted[i].along_m);
    strip.height_m = room.middle.of(room.values);
    for (const double h : room.values) off.push_back(std::abs(h - strip.height_m));
  }
  return kMedianToSigma * room.middle.of(off);
}

/// Strips before the crown: the highest strip, if the ground rises to it and falls after it by more than the
/// noise.
std::size_t strips_before_crown(const std::vector<Strip>& strips, double sigma_m) {
  std::size_t top = 0;
  for (std::size_t k = 1; k < strips.size(); ++k) {
    if (strips[k].height_m > strips[top].height_m) top = k;
  }
  const auto higher = [&](const Strip& high, const Strip& low) {
    const double doubt =
        1.25 * sigma_m *
        std::sqrt(1.0 / static_cast<double>(high.size()) + 1.0 / static_cast<double>(low.size()));
    return high.height_m - low.height_m > std::max(2.0 * doubt, kLeastFall_m);
  };
  bool falls = false;
  for (std::size_t k = top + 1; k < strips.size(); ++k) falls = falls || higher(strips[top], strips[k]);
  if (!falls || top == 0 || !higher(strips[top], strips[0])) return strips.size();
  return top >= 2 ? top : top + 1;  // the strip of the crown itself holds both sides
}

double median_cross_slope(Room& room, std::size_t count, double otherwise) {
  const std::vector<Strip>& strips = room.strips;
  room.values.clear();
  for (std::size_t i = 0; i < count; ++i) {
    for (std::size_t j = i + 1; j < count; ++j) {
      room.values.push_back((strips[j].height_m - strips[i].height_m) / (strips[j].off_m - strips[i].off_m));
    }
  }
  return room.values.empty() ? otherwise : room.middle.of(room.values);
}

/// Fills the residuals of `fit`.
void take_residuals(const SlopeFit& fit, Room& room) {
  const std::size_t count = room.height.size();
  room.residual.resize(count);
  const double* const height = room.height.data();
  const double* const off = room.off.data();
  const double* const along = room.along.data();
  double* const residual = room.residual.data();
  for (std::size_t i = 0; i < count; ++i) {
    residual[i] = height[i] - fit.at_curb_m - fit.cross_slope * off[i] - fit.grade * along[i];
  }
}

/// One weighted least-squares step about `fit`, whose residuals are known; unchanged when the equations say
/// nothing.
SlopeFit weighted_step(Room& room, const SlopeFit& fit, const SlopeFit& expected, double spread,
                       double scale_m) {
  const std::size_t count = room.residual.size();
  room.weight.resize(count);
  const double* const residual = room.residual.data();
  double* const weight = room.weight.data();
  for (std::size_t i = 0; i < count; ++i) {
    const double u = residual[i] / (kBisquareTuning * scale_m);
    const double w = (1.0 - u * u) * (1.0 - u * u);
    weight[i] = std::abs(u) < 1.0 ? w : 0.0;
  }
  // Normal equations for the change (da, db, dc).
  double n = 0.0, so = 0.0, sl = 0.0, soo = 0.0, sol = 0.0, sll = 0.0, sr = 0.0, sor = 0.0, slr = 0.0;
  for (std::size_t i = 0; i < count; ++i) {
    const double w = weight[i];
    const double o = room.off[i];
    const double l = room.along[i];
    const double r = residual[i];
    n += w;
    so += w * o;
    sl += w * l;
    soo += w * o * o;
    sol += w * o * l;
    sll += w * l * l;
    sr += w * r;
    sor += w * o * r;
    slr += w * l * r;
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

FitRoom::FitRoom() : room_(std::make_unique<Room>()) {}
FitRoom::~FitRoom() = default;

SlopeFit fit_slope(std::span<const SlopeSample> samples, double cell_m, double expected_cross_slope,
                   double spread, FitRoom& memory) {
  base::ensure(samples.size() >= 6, "a slope is fitted to at least 6 samples");
  Room& room = memory.room();
  make_strips(samples, cell_m, room);
  SlopeFit fit;
  fit.grade = median_grade(room, cell_m);
  const double sigma_m = level_strips(room, fit.grade);
  const std::size_t used = strips_before_crown(room.strips, sigma_m);
  fit.cross_slope = median_cross_slope(room, used, expected_cross_slope);
  room.off.clear();
  room.along.clear();
  room.height.clear();
  for (std::size_t i = 0; i < room.strips[used - 1].last; ++i) {
    room.off.push_back(room.sorted[i].off_m);
    room.along.push_back(room.sorted[i].along_m);
    room.height.push_back(room.sorted[i].height_m);
  }
  take_residuals(fit, room);
  fit.at_curb_m = room.middle.of(room.residual);
  const SlopeFit expected{0.0, expected_cross_slope, fit.grade};
  double middle_m = 0.0;
  for (int round = 0; round < kMostRounds; ++round) {
    take_residuals(fit, room);
    room.values.resize(room.residual.size());
    for (std::size_t i = 0; i < room.values.size(); ++i) room.values[i] = std::abs(room.residual[i]);
    middle_m = round == 0 ? room.middle.of(room.values) : room.middle.near(room.values, middle_m);
    const double scale_m = std::max(kMedianToSigma * middle_m, kLeastScale_m);
    const SlopeFit next = weighted_step(room, fit, expected, spread, scale_m);
    const double change =
        std::abs(next.at_curb_m - fit.at_curb_m) + std::abs(next.cross_slope - fit.cross_slope);
    fit = next;
    if (change < kSettled) break;
  }
  return fit;
}

}  // namespace curbshed::terrain::detail
