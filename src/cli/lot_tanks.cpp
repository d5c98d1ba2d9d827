#include "curbshed/cli/lot_tanks.hpp"

#include "curbshed/base/error.hpp"

#include <fmt/format.h>

namespace curbshed::cli {
namespace {

using base::InputError;

double needed(const StudyLayer& layer, std::size_t row, const char* field, const std::optional<double>& usual,
              const char* key) {
  const std::optional<double> own = layer.measure(row, field);
  if (own) return *own;
  if (usual) return *usual;
  throw InputError(layer.where(row),
                   fmt::format("the lot has a tank, and neither {} nor lots.tank.{} is given", field, key),
                   "0 to 1", fmt::format("add {} to [lots.tank]", key));
}

}  // namespace

std::optional<study::LotTank> lot_tank(const StudyLayer& layer, std::size_t row,
                                       const study::TankSettings& usual) {
  study::LotTank lot;
  lot.lot = layer.id(row);
  const std::optional<double> own_size_m3 = layer.measure(row, "tank");
  lot.tank.size_m3 = own_size_m3 ? *own_size_m3 : usual.size_m3.value_or(0.0);
  if (!(lot.tank.size_m3 > 0.0)) {
    return std::nullopt;
  }
  lot.roof_share = needed(layer, row, "tank_roof_share", usual.roof_share, "roof_share");
  lot.start_share = needed(layer, row, "tank_start", usual.start_share, "start");
  lot.tank.screen_loss = layer.measure(row, "tank_screen_loss").value_or(usual.screen_loss);
  lot.tank.flush_m = layer.measure(row, "tank_first_flush").value_or(usual.first_flush_m);
  lot.tank.flush_reset_s = usual.flush_reset_s;
  lot.tank.use_m3_s = layer.measure(row, "tank_use").value_or(usual.use_m3_s);
  lot.tank.basin_m3 = layer.measure(row, "tank_basin_volume").value_or(usual.basin_m3);
  const double floor_m2 = layer.measure(row, "tank_basin_floor").value_or(usual.basin_floor_m2);
  const double rate_m_s =
      layer.measure(row, "tank_basin_infiltration").value_or(usual.basin_infiltration_m_s);
  lot.tank.basin_soaks_m3_s = floor_m2 * rate_m_s;
  if (rate_m_s > 0.0 && !(floor_m2 > 0.0 && lot.tank.basin_m3 > 0.0)) {
    throw InputError(layer.where(row), "the lot's basin soaks but has no volume or no floor",
                     "volume, floor and infiltration together",
                     "give basin_volume and basin_floor too, or take basin_infiltration out");
  }
  return lot;
}

}  // namespace curbshed::cli
