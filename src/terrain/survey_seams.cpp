#include "curbshed/terrain/survey_seams.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

namespace curbshed::terrain {

namespace {

constexpr double kWindow_m = 25.0;
constexpr double kLeastLength_m = 100.0;
constexpr double kLeastShare = 0.7;
constexpr double kKnownShare = 0.6;      ///< of a window's cells that must have a step
constexpr double kSlant = 0.105;         ///< tan 6°
constexpr std::int64_t kMostGap = 3;     ///< windows
constexpr double kStraight_cells = 1.5;  ///< farthest that a window lies off the line

double median(std::vector<double>& values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

/// The raster as it is, or with rows and columns exchanged.
class Turned {
 public:
  Turned(const Ground& ground, const Grid<std::uint8_t>& ignore, bool by_columns)
      : ground_(ground), ignore_(ignore), by_columns_(by_columns) {}
  std::int64_t lines() const { return by_columns_ ? ground_.frame.cols : ground_.frame.rows; }
  std::int64_t places() const { return by_columns_ ? ground_.frame.rows : ground_.frame.cols; }
  std::int64_t cell(std::int64_t line, std::int64_t place) const {
    return by_columns_ ? ground_.frame.index(place, line) : ground_.frame.index(line, place);
  }
  /// Height of the next line above this one beyond the slopes on both sides.
  std::optional<double> step(std::int64_t line, std::int64_t place) const {
    double z[4];
    for (std::int64_t k = 0; k < 4; ++k) {
      const std::int64_t c = cell(line - 1 + k, place);
      if (ground_.valid[c] == 0 || (!ignore_.empty() && ignore_[c] != 0)) return std::nullopt;
      z[k] = static_cast<double>(ground_.height_m[c]);
    }
    return (z[2] - z[1]) - 0.5 * ((z[1] - z[0]) + (z[3] - z[2]));
  }
  /// On the boundary after a line.
  base::Point at(double line, double place) const {
    const GridFrame& f = ground_.frame;
    const double across = (line + 1.0) * f.cell_m;
    const double along = place * f.cell_m;
    return by_columns_ ? base::Point{f.west_m + across, f.north_m - along}
                       : base::Point{f.west_m + along, f.north_m - across};
  }
  bool by_columns() const { return by_columns_; }

 private:
  const Ground& ground_;
  const Grid<std::uint8_t>& ignore_;
  bool by_columns_;
};

struct Found {
  std::int64_t line = 0;
  std::int64_t window = 0;
  double step_m = 0.0;
};

/// Windows of each line with a step that no neighbouring line surpasses: by window, then line.
std::vector<std::vector<Found>> steps_by_window(const Turned& raster, std::int64_t wide, double least_m) {
  const std::int64_t windows = raster.places() / wide;
  std::vector<std::vector<Found>> found(static_cast<std::size_t>(windows));
  std::vector<double> values;
  for (std::int64_t w = 0; w < windows; ++w) {
    std::vector<double> steps(static_cast<std::size_t>(raster.lines()), 0.0);
    for (std::int64_t line = 1; line + 2 < raster.lines(); ++line) {
      values.clear();
      for (std::int64_t k = 0; k < wide; ++k) {
        if (const std::optional<double> step = raster.step(line, w * wide + k)) values.push_back(*step);
      }
      if (static_cast<double>(values.size()) < kKnownShare * static_cast<double>(wide)) continue;
      steps[static_cast<std::size_t>(line)] = median(values);
    }
    for (std::int64_t line = 1; line + 2 < raster.lines(); ++line) {
      const auto i = static_cast<std::size_t>(line);
      const double size = std::abs(steps[i]);
      if (size > least_m && size >= std::abs(steps[i - 1]) && size > std::abs(steps[i + 1])) {
        found[static_cast<std::size_t>(w)].push_back({line, w, steps[i]});
      }
    }
  }
  return found;
}

using Track = std::vector<Found>;

/// Windows that go on from one another, the same way up.
std::vector<Track> tracks_of(const std::vector<std::vector<Found>>& windows, std::int64_t wide) {
  std::vector<Track> open;
  std::vector<Track> all;
  const double slant = kSlant * static_cast<double>(wide);
  for (const std::vector<Found>& window : windows) {
    std::vector<std::uint8_t> taken(window.size(), 0);
    for (Track& track : open) {
      const Found last = track.back();
      for (std::size_t i = 0; i < window.size(); ++i) {
        const Found& next = window[i];
        const auto gap = static_cast<double>(next.window - last.window);
        const bool near = std::abs(static_cast<double>(next.line - last.line)) <= slant * gap + 1.0;
        if (taken[i] != 0 || !near || (next.step_m > 0.0) != (last.step_m > 0.0)) continue;
        taken[i] = 1;
        track.push_back(next);
        break;
      }
    }
    for (std::size_t i = 0; i < window.size(); ++i) {
      if (taken[i] == 0) open.push_back({window[i]});
    }
    const std::int64_t now = window.empty() ? -1 : window.front().window;
    std::vector<Track> still;
    for (Track& track : open) {
      const bool over = now >= 0 && now - track.back().window > kMostGap;
      (over ? all : still).push_back(std::move(track));
    }
    open = std::move(still);
  }
  all.insert(all.end(), open.begin(), open.end());
  return all;
}

std::optional<SurveySeam> seam_of(const Track& track, const Turned& raster, std::int64_t wide,
                                  double cell_m) {
  const auto span = static_cast<double>(track.back().window - track.front().window + 1);
  const double length_m = span * static_cast<double>(wide) * cell_m;
  const double share = static_cast<double>(track.size()) / span;
  // A window counts from half its width on: what is found may be one window too long.
  if (length_m - kWindow_m < kLeastLength_m || share < kLeastShare) return std::nullopt;
  double sw = 0.0, sl = 0.0, sww = 0.0, swl = 0.0;
  std::vector<double> steps;
  for (const Found& one : track) {
    sw += static_cast<double>(one.window);
    sl += static_cast<double>(one.line);
    steps.push_back(one.step_m);
  }
  const auto n = static_cast<double>(track.size());
  for (const Found& one : track) {
    const double w = static_cast<double>(one.window) - sw / n;
    sww += w * w;
    swl += w * (static_cast<double>(one.line) - sl / n);
  }
  const double slope = sww > 0.0 ? swl / sww : 0.0;
  const auto line_at = [&](double window) { return sl / n + slope * (window - sw / n); };
  for (const Found& one : track) {
    const double off = static_cast<double>(one.line) - line_at(static_cast<double>(one.window));
    if (std::abs(off) > kStraight_cells) return std::nullopt;
  }
  const double step = median(steps);
  std::vector<double> off;
  for (const double s : steps) off.push_back(std::abs(s - step));
  if (median(off) > 0.35 * std::abs(step)) return std::nullopt;
  const auto first = static_cast<double>(track.front().window);
  const auto last = static_cast<double>(track.back().window);
  const auto places = static_cast<double>(wide);
  SurveySeam seam;
  seam.from = raster.at(line_at(first - 0.5), first * places);
  seam.to = raster.at(line_at(last + 0.5), (last + 1.0) * places);
  seam.length_m = base::distance_m(seam.from, seam.to);
  seam.share = share;
  seam.step_m = -step;  // rows run south: the next line lies to the right of a way to the east
  if (raster.by_columns()) {
    // Places run south; told from the southern end the next column lies to the right as well.
    std::swap(seam.from, seam.to);
  }
  return seam;
}

}  // namespace

std::vector<SurveySeam> survey_seams(const Ground& ground, const Grid<std::uint8_t>& ignore,
                                     double least_step_m) {
  std::vector<SurveySeam> seams;
  const double cell_m = ground.frame.cell_m;
  const auto wide = static_cast<std::int64_t>(std::max(1.0, std::round(kWindow_m / cell_m)));
  for (const bool by_columns : {false, true}) {
    const Turned raster(ground, ignore, by_columns);
    for (const Track& track : tracks_of(steps_by_window(raster, wide, least_step_m), wide)) {
      if (const std::optional<SurveySeam> seam = seam_of(track, raster, wide, cell_m)) seams.push_back(*seam);
    }
  }
  return seams;
}

}  // namespace curbshed::terrain
