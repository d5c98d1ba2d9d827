#include "curbshed/terrain/shown_curbs.hpp"

#include "curbshed/terrain/height_at.hpp"

#include <algorithm>
#include <cmath>

namespace curbshed::terrain {

namespace {

constexpr double kWithin_m = 1.5;
constexpr double kStep_m = 0.25;  ///< between the heights of a profile
constexpr double kLook_m = 1.5;   ///< slopes beside a step are taken over this

base::Point beside(base::Point at, base::Point to_street, double out_m) {
  return {at.x_m - out_m * to_street.x_m, at.y_m - out_m * to_street.y_m};
}

}  // namespace

std::optional<double> step_near(const Ground& ground, base::Point at, base::Point to_street,
                                double within_m) {
  const double half = std::max(kStep_m, std::round(0.7 * ground.frame.cell_m / kStep_m) * kStep_m);
  std::optional<double> highest;
  const auto count = static_cast<int>(std::floor(within_m / kStep_m + 1e-9));
  for (int k = -count; k <= count; ++k) {
    const double off = kStep_m * k;
    const auto height = [&](double out_m) { return height_at(ground, beside(at, to_street, out_m)); };
    const std::optional<double> inner = height(off - half);
    const std::optional<double> outer = height(off + half);
    if (!inner || !outer) continue;
    const std::optional<double> street = height(off - half - kLook_m);
    const std::optional<double> lot = height(off + half + kLook_m);
    const double in = street ? (*inner - *street) / kLook_m : 0.0;
    const double out = lot ? (*lot - *outer) / kLook_m : 0.0;
    const double step = *outer - *inner - 2.0 * half * std::max(0.0, std::min(in, out));
    highest = std::max(highest.value_or(step), step);
  }
  return highest;
}

std::vector<ShownCurb> shown_curbs(const Ground& ground, const std::vector<CurbLine>& curbs,
                                   const CurbField& field, const CurbSettings& settings) {
  std::vector<ShownCurb> shown(curbs.size());
  const std::vector<CurbStation>& stations = field.stations;
  for (std::size_t i = 0; i < stations.size(); ++i) {
    const CurbStation& station = stations[i];
    const CurbLine& curb = curbs[static_cast<std::size_t>(station.curb)];
    if (curb.kind != CurbKind::Vertical && curb.kind != CurbKind::Rolled) continue;
    if (station.gutter_cell < 0) continue;
    // Half the way to each neighbour on the same curb.
    double metres = 0.0;
    if (i > 0 && stations[i - 1].curb == station.curb)
      metres += 0.5 * (station.along_m - stations[i - 1].along_m);
    if (i + 1 < stations.size() && stations[i + 1].curb == station.curb)
      metres += 0.5 * (stations[i + 1].along_m - station.along_m);
    ShownCurb& sum = shown[static_cast<std::size_t>(station.curb)];
    sum.length_m += metres;
    const std::optional<double> step = step_near(ground, station.at, station.to_street, kWithin_m);
    if (!step) continue;
    sum.known_m += metres;
    const double usual =
        curb.kind == CurbKind::Rolled ? settings.rolled_height_m : settings.vertical_height_m;
    if (*step >= 0.5 * curb.height_m.value_or(usual)) sum.shown_m += metres;
  }
  return shown;
}

}  // namespace curbshed::terrain
