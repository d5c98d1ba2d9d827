#include "terrain/curb_levels.hpp"

#include "curbshed/base/error.hpp"

#include <iterator>
#include <limits>
#include <tuple>

namespace curbshed::terrain::detail {

namespace {

constexpr double kHalfWindow_m = 5.0;        ///< along the curb, for levels
constexpr double kFitEvery_m = 2.0;          ///< along the curb: a fifth of the window
constexpr double kHalfSlopeWindow_m = 10.0;  ///< for cross slopes, which change more slowly
constexpr double kCrossSlopeSpread =
    0.04;  ///< of real cross slopes about the default (common practice, no source)
constexpr double kSlopeChange = 0.005;  ///< of the cross slope within the slope window (likewise)
constexpr double kWhollyOffCells =
    0.75;  ///< a cell whose centre is nearer may hold some of the curb or the walk
constexpr std::size_t kLeastSamples = 6;

/// A cell on the street side of a curb.
struct SideCell {
  std::int64_t cell = 0;
  double off_m = 0.0;
  double along_m = 0.0;
  bool paved = false;
};

/// Valid cells on the street side within `width_m`, each once with its nearest place on the curb, by (along,
/// cell).
std::vector<SideCell> street_side_cells(const Ground& ground, const Grid<std::uint8_t>& pavement,
                                        const RunningCurb& curb, double width_m) {
  struct Near {
    SideCell cell;
    bool left;
  };
  const GridFrame& frame = ground.frame;
  std::vector<Near> near;
  const std::size_t segments = curb.line.size() - 1;
  for (std::size_t i = 0; i < segments; ++i) {
    const base::Point a = curb.line[i];
    const base::Point step = curb.line[i + 1] - a;
    const double length = norm(step);
    for_cells_near(frame, a, curb.line[i + 1], width_m, [&](std::int64_t row, std::int64_t col) {
      const std::int64_t cell = frame.index(row, col);
      if (ground.valid[cell] == 0) return;
      const base::Point p{(static_cast<double>(col) + 0.5) * frame.cell_m,
                          -(static_cast<double>(row) + 0.5) * frame.cell_m};
      const double t = dot(p - a, step) / (length * length);
      const bool past_end = !curb.closed && ((i == 0 && t < 0.0) || (i + 1 == segments && t > 1.0));
      const double on = std::clamp(t, 0.0, 1.0);
      const double off = norm(p - a - on * step);
      if (past_end || off > width_m) return;
      const bool paved = pavement.empty() || pavement[cell] != 0;
      near.push_back({{cell, off, curb.along_m[i] + on * length, paved}, cross(step, p - a) >= 0.0});
    });
  }
  std::sort(near.begin(), near.end(), [](const Near& a, const Near& b) {
    return std::tie(a.cell.cell, a.cell.off_m, a.cell.along_m) <
           std::tie(b.cell.cell, b.cell.off_m, b.cell.along_m);
  });
  std::vector<SideCell> cells;
  for (std::size_t i = 0; i < near.size(); ++i) {
    if (i > 0 && near[i].cell.cell == near[i - 1].cell.cell) continue;
    if (near[i].left) cells.push_back(near[i].cell);
  }
  std::sort(cells.begin(), cells.end(), [](const SideCell& a, const SideCell& b) {
    return std::tie(a.along_m, a.cell) < std::tie(b.along_m, b.cell);
  });
  return cells;
}

/// Calls visit(side cell, along − at) for the cells within the window, on a closed curb across its start as
/// well.
template <class Visit>
void in_window(const std::vector<SideCell>& cells, const RunningCurb& curb, double at_m, double half_m,
               const Visit& visit) {
  const double length = curb.length_m();
  const auto range = [&](double low, double high, double shift) {
    auto it = std::lower_bound(cells.begin(), cells.end(), low,
                               [](const SideCell& c, double v) { return c.along_m < v; });
    for (; it != cells.end() && it->along_m <= high; ++it) visit(*it, it->along_m + shift - at_m);
  };
  const bool wraps = curb.closed && length > 2.0 * half_m;
  if (wraps && at_m < half_m) range(at_m - half_m + length, length, -length);
  range(at_m - half_m, at_m + half_m, 0.0);
  if (wraps && at_m > length - half_m) range(0.0, at_m + half_m - length, length);
}

/// Cells that lie wholly on the pavement, within the slope window.
void pavement_samples(const Ground& ground, const std::vector<SideCell>& cells, const RunningCurb& curb,
                      double at_m, double width_m, std::vector<SlopeSample>& samples) {
  samples.clear();
  in_window(cells, curb, at_m, kHalfSlopeWindow_m, [&](const SideCell& c, double along) {
    if (!c.paved || c.off_m < kWhollyOffCells * ground.frame.cell_m || c.off_m > width_m) return;
    samples.push_back({c.off_m, along, static_cast<double>(ground.height_m[c.cell])});
  });
}

double default_level_m(const Ground& ground, const std::vector<SideCell>& cells, const RunningCurb& curb,
                       double at_m, double slope) {
  struct Near {
    double way_m;
    std::int64_t cell;
    double level_m;
  };
  std::vector<Near> near;
  in_window(cells, curb, at_m, kHalfWindow_m, [&](const SideCell& c, double along) {
    near.push_back(
        {std::hypot(c.off_m, along), c.cell, static_cast<double>(ground.height_m[c.cell]) - slope * c.off_m});
  });
  if (near.empty()) return std::numeric_limits<double>::quiet_NaN();
  std::sort(near.begin(), near.end(), [](const Near& a, const Near& b) {
    return std::tie(a.way_m, a.cell) < std::tie(b.way_m, b.cell);
  });
  if (near.size() > kLeastSamples) near.resize(kLeastSamples);
  std::sort(near.begin(), near.end(), [](const Near& a, const Near& b) { return a.level_m < b.level_m; });
  return 0.5 * (near[near.size() / 2].level_m + near[(near.size() - 1) / 2].level_m);
}

/// The gutter cell is the street cell of a straight (not diagonal) crossing nearest to the station; the cell
/// behind it is the lot cell most nearly straight across.
void find_cells(const Ground& ground, std::span<const Crossing> crossings, Station& station) {
  const GridFrame& frame = ground.frame;
  const double reach = 2.0 * frame.cell_m;
  const auto first = std::lower_bound(crossings.begin(), crossings.end(), station.along_m - reach,
                                      [](const Crossing& c, double v) { return c.along_m < v; });
  double best = std::numeric_limits<double>::infinity();
  for (auto it = first; it != crossings.end() && it->along_m <= station.along_m + reach; ++it) {
    if (it->bearing % 2 != 0 || ground.valid[it->street_cell] == 0) continue;
    const base::Point c{(static_cast<double>(it->street_cell % frame.cols) + 0.5) * frame.cell_m,
                        -(static_cast<double>(it->street_cell / frame.cols) + 0.5) * frame.cell_m};
    const double way = norm(c - station.place.at);
    if (way < best || (way == best && it->street_cell < station.gutter_cell)) {
      best = way;
      station.gutter_cell = it->street_cell;
    }
  }
  if (station.gutter_cell < 0) return;
  const base::Point out = -1.0 * left_of(station.place.direction);
  double straightest = -2.0;
  for (auto it = first; it != crossings.end() && it->along_m <= station.along_m + reach; ++it) {
    if (it->street_cell != station.gutter_cell || ground.valid[it->lot_cell] == 0) continue;
    const base::Point way =
        unit({static_cast<double>(kColStep[it->bearing]), -static_cast<double>(kRowStep[it->bearing])});
    const double straight = dot(way, out);
    if (straight > straightest + 1e-12) {
      straightest = straight;
      station.behind_cell = it->lot_cell;
    }
  }
}

/// Highest cell under the straight way out, square to the curb; `otherwise` when no cell there is valid.
double highest_way_out_m(const Ground& ground, const CurbPlace& place, double look_m, double otherwise) {
  const GridFrame& frame = ground.frame;
  const base::Point out = -1.0 * left_of(place.direction);
  double highest = otherwise;
  const double step = 0.5 * frame.cell_m;
  const auto count = static_cast<int>(std::floor(look_m / step + 1e-9));
  for (int k = 0; k <= count; ++k) {
    const base::Point p = place.at + (static_cast<double>(k) * step) * out;
    const auto row = static_cast<std::int64_t>(std::floor(-p.y_m / frame.cell_m));
    const auto col = static_cast<std::int64_t>(std::floor(p.x_m / frame.cell_m));
    if (!frame.inside(row, col)) break;
    const std::int64_t cell = frame.index(row, col);
    if (ground.valid[cell] != 0) highest = std::max(highest, static_cast<double>(ground.height_m[cell]));
  }
  return highest;
}

std::vector<Station> stations_of(const Ground& ground, const RunningCurb& curb,
                                 std::span<const Crossing> crossings) {
  const double cell_m = ground.frame.cell_m;
  const auto count = static_cast<std::size_t>(std::max(1.0, std::round(curb.length_m() / cell_m)));
  std::vector<Station> stations(count + (curb.closed ? 0 : 1));
  for (std::size_t i = 0; i < stations.size(); ++i) {
    stations[i].along_m = curb.length_m() * static_cast<double>(i) / static_cast<double>(count);
    stations[i].place = place_at(curb, stations[i].along_m, cell_m);
    find_cells(ground, crossings, stations[i]);
  }
  return stations;
}

/// Levels of the stations of one curb.
class LevelFits {
 public:
  LevelFits(const Ground& ground, const RunningCurb& curb, const CurbSettings& settings,
            std::vector<SideCell> street_side, FitRoom& room)
      : ground_(ground), curb_(curb), settings_(settings), room_(room), cells_(std::move(street_side)) {}

  /// False where there is too little street for a fit: the level then takes the default cross slope.
  bool fit(Station& station) {
    const double cell_m = ground_.frame.cell_m;
    pavement_samples(ground_, cells_, curb_, station.along_m, settings_.fit_width_m, wide_);
    close_.clear();
    std::copy_if(wide_.begin(), wide_.end(), std::back_inserter(close_),
                 [](const SlopeSample& s) { return std::abs(s.along_m) <= kHalfWindow_m; });
    if (close_.size() < kLeastSamples) {
      station.level_m =
          default_level_m(ground_, cells_, curb_, station.along_m, settings_.default_cross_slope);
      return false;
    }
    const SlopeFit slope = fit_slope(wide_, cell_m, settings_.default_cross_slope, kCrossSlopeSpread, room_);
    station.level_m = fit_slope(close_, cell_m, slope.cross_slope, kSlopeChange, room_).at_curb_m;
    return true;
  }

 private:
  const Ground& ground_;
  const RunningCurb& curb_;
  const CurbSettings& settings_;
  FitRoom& room_;
  std::vector<SideCell> cells_;
  std::vector<SlopeSample> wide_;
  std::vector<SlopeSample> close_;
};

/// Fits some stations of each run along the gutter, kFitEvery_m apart and at its ends; those between two fits
/// lie on the line, all others are fitted themselves. Returns how many took the default cross slope.
std::int64_t fit_levels(LevelFits& fits, double cell_m, std::vector<Station>& stations) {
  const auto every = static_cast<std::size_t>(std::max(1.0, std::floor(kFitEvery_m / cell_m + 1e-6)));
  std::int64_t defaults = 0;
  std::size_t low = 0;  // the last station with a fit of its own, if low_fits
  bool low_fits = false;
  const auto own = [&](std::size_t i) {
    const bool fit = fits.fit(stations[i]);
    defaults += fit ? 0 : 1;
    return fit && std::isfinite(stations[i].level_m);
  };
  for (std::size_t i = 0; i < stations.size(); ++i) {
    if (stations[i].gutter_cell < 0) {
      low_fits = false;
      continue;
    }
    const bool run_ends = i + 1 == stations.size() || stations[i + 1].gutter_cell < 0;
    if (low_fits && !run_ends && i - low < every) continue;
    const bool high_fits = own(i);
    for (std::size_t k = low + 1; low_fits && k < i; ++k) {
      if (!high_fits) {
        own(k);
        continue;
      }
      const double t =
          (stations[k].along_m - stations[low].along_m) / (stations[i].along_m - stations[low].along_m);
      stations[k].level_m = stations[low].level_m + t * (stations[i].level_m - stations[low].level_m);
    }
    low = i;
    low_fits = high_fits;
  }
  return defaults;
}

}  // namespace

std::vector<Station> measure_curb(const Ground& ground, const Grid<std::uint8_t>& pavement,
                                  const std::vector<RunningCurb>& curbs, std::size_t k,
                                  std::span<const Crossing> crossings, const CurbSettings& settings,
                                  const std::string& id, base::Notes& notes, FitRoom& room) {
  const RunningCurb& curb = curbs[k];
  std::vector<Station> stations = stations_of(ground, curb, crossings);
  LevelFits fits(ground, curb, settings,
                 street_side_cells(ground, pavement, with_neighbours(curbs, k, kHalfSlopeWindow_m),
                                   std::max(settings.fit_width_m, 2.0 * ground.frame.cell_m)),
                 room);
  const std::int64_t defaults = fit_levels(fits, ground.frame.cell_m, stations);
  if (defaults > 0) {
    notes.add(base::NoteId::CrossSlopeAssumed, settings.default_cross_slope, id, defaults);
  }
  for (Station& station : stations) {
    if (station.gutter_cell < 0 || !std::isfinite(station.level_m)) continue;
    station.known = true;
    station.crest_m = station.level_m + curb.rise_m;
    if (curb.kind == CurbKind::Gap) {
      station.crest_m = highest_way_out_m(ground, station.place, settings.gap_look_m, station.crest_m);
    }
  }
  return stations;
}

double between_stations(const std::vector<Station>& stations, double Station::*member, double along_m) {
  const auto after = std::lower_bound(stations.begin(), stations.end(), along_m,
                                      [](const Station& s, double v) { return s.along_m < v; });
  auto up = after;
  while (up != stations.end() && !up->known) ++up;
  auto down = after;
  while (down != stations.begin() && !(down - 1)->known) --down;
  const bool has_up = up != stations.end();
  const bool has_down = down != stations.begin();
  base::ensure(has_up || has_down, "a curb on the grid has a station with a level");
  if (!has_down) return (*up).*member;
  if (!has_up) return (*(down - 1)).*member;
  const Station& low = *(down - 1);
  const double t = (along_m - low.along_m) / (up->along_m - low.along_m);
  return low.*member + t * ((*up).*member - low.*member);
}

}  // namespace curbshed::terrain::detail
