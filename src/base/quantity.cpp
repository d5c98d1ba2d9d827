#include "curbshed/base/quantity.hpp"

#include "curbshed/base/error.hpp"

#include <fmt/format.h>

namespace curbshed::base::detail {

double finite(double value, const char* kind) {
  if (!std::isfinite(value)) {
    throw InputError({}, fmt::format("{} is not usable as {}", value, kind), "any finite number",
                     "give a number");
  }
  return value;
}

double within(double value, double low, double high, const char* kind) {
  if (!(value >= low && value <= high)) {
    throw InputError({}, fmt::format("{} is not usable as {}", value, kind),
                     fmt::format("{} to {}", low, high), "give a number in this range");
  }
  return value;
}

}  // namespace curbshed::base::detail
