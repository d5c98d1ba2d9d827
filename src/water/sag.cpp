#include "curbshed/water/sag.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>
#include <cmath>

namespace curbshed::water {

RawSag raw_sag(const SagShape& shape) {
  base::ensure(
      shape.depth_m > 0.0 && shape.volume_m3 > 0.0 && shape.area_m2 > 0.0 && shape.spill_width_m >= 0.0,
      "a kept sag has depth, volume and area");
  RawSag sag{.depth_m = shape.depth_m,
             .volume_m3 = shape.volume_m3,
             .spill_width_m = shape.spill_width_m,
             .spill_weir = shape.spill_weir};
  sag.exponent = std::clamp(shape.area_m2 * shape.depth_m / shape.volume_m3, 1.0, 8.0);
  sag.top_area_m2 = sag.exponent * sag.volume_m3 / sag.depth_m;
  return sag;
}

double sag_volume_m3(const RawSag& sag, double depth_m) {
  if (!(depth_m > 0.0)) return 0.0;
  if (depth_m >= sag.depth_m) return sag.volume_m3 + sag.top_area_m2 * (depth_m - sag.depth_m);
  return sag.volume_m3 * std::pow(depth_m / sag.depth_m, sag.exponent);
}

double sag_depth_m(const RawSag& sag, double volume_m3) {
  if (!(volume_m3 > 0.0)) return 0.0;
  if (volume_m3 >= sag.volume_m3) return sag.depth_m + (volume_m3 - sag.volume_m3) / sag.top_area_m2;
  return sag.depth_m * std::pow(volume_m3 / sag.volume_m3, 1.0 / sag.exponent);
}

double sag_spill_m3_s(const RawSag& sag, double depth_m) {
  return sag.spill_width_m * crest_m2_s(sag.spill_weir, depth_m - sag.depth_m);
}

}  // namespace curbshed::water
