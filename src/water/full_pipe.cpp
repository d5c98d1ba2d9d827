#include "curbshed/water/full_pipe.hpp"

#include "curbshed/base/error.hpp"

#include <cmath>

#include <fmt/format.h>

namespace curbshed::water {
namespace {

constexpr double kPi = 3.14159265358979323846;

void require(bool holds, const char* kind, double value, const char* allowed) {
  if (holds) return;
  throw base::InputError({}, fmt::format("{} of {:g} is not usable", kind, value), allowed,
                         "look at the number and its unit");
}

/// Head lost is this times V².
struct PerSquare {
  double friction = 0.0;
  double local = 0.0;
  double area_m2 = 0.0;
};

PerSquare per_square(const FullPipe& pipe) {
  const double D = pipe.diameter.in_metres();
  const double L = pipe.length.in_metres();
  require(D > 0.0, "a diameter in m", D, "more than 0");
  require(L >= 0.0, "a length in m", L, "0 or more");
  require(pipe.local_losses >= 0.0 && std::isfinite(pipe.local_losses), "a sum of losses", pipe.local_losses,
          "0 or more");
  const double n = pipe.roughness.value();
  return {.friction = L * n * n / std::pow(0.25 * D, 4.0 / 3.0),
          .local = pipe.local_losses / (2.0 * base::kGravity_m_s2),
          .area_m2 = 0.25 * kPi * D * D};
}

}  // namespace

PipeHead head_lost(const FullPipe& pipe, base::Flow flow) {
  const PerSquare k = per_square(pipe);
  const double Q = flow.in_cubic_metres_per_second();
  require(Q >= 0.0, "a flow in m3/s", Q, "0 or more");
  const double V = Q / k.area_m2;
  PipeHead head{.velocity_m_s = V,
                .friction = base::Length::metres(k.friction * V * V),
                .local = base::Length::metres(k.local * V * V),
                .lost = base::Length::metres(0.0)};
  head.lost = head.friction + head.local;
  return head;
}

double full_speed_m_s(base::Length diameter, base::Slope grade, base::Roughness roughness) {
  require(diameter.in_metres() > 0.0, "a diameter in m", diameter.in_metres(), "more than 0");
  return std::pow(0.25 * diameter.in_metres(), 2.0 / 3.0) * std::sqrt(grade.as_fraction()) /
         roughness.value();
}

base::Flow flow_at_drop(const FullPipe& pipe, base::Length drop) {
  const PerSquare k = per_square(pipe);
  const double all = k.friction + k.local;
  require(all > 0.0, "a pipe without any loss, of length in m", pipe.length.in_metres(),
          "a length or local losses");
  const double h = drop.in_metres();
  return base::Flow::cubic_metres_per_second(h > 0.0 ? k.area_m2 * std::sqrt(h / all) : 0.0);
}

}  // namespace curbshed::water
