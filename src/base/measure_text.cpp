#include "curbshed/base/measure_text.hpp"

#include "curbshed/base/error.hpp"

#include <charconv>
#include <vector>

#include <fmt/format.h>

namespace curbshed::base {
namespace {

struct Unit {
  Dimension dimension;
  std::string_view word;
  double factor;
};

const std::vector<Unit>& units() {
  using enum Dimension;
  static const std::vector<Unit> all = {
      {Plain, "%", 0.01},
      {Length, "m", 1.0},
      {Length, "cm", 0.01},
      {Length, "mm", 0.001},
      {Length, "ft", kMetresPerFoot},
      {Length, "usft", kMetresPerUsSurveyFoot},
      {Length, "in", kMetresPerInch},
      {Area, "m2", 1.0},
      {Area, "ft2", kMetresPerFoot * kMetresPerFoot},
      {Area, "ac", kSquareMetresPerAcre},
      {Area, "ha", 10000.0},
      {Volume, "m3", 1.0},
      {Volume, "L", 0.001},
      {Volume, "ft3", kCubicMetresPerCubicFoot},
      {Volume, "gal", kCubicMetresPerGallon},
      {Duration, "s", 1.0},
      {Duration, "min", kSecondsPerMinute},
      {Duration, "h", kSecondsPerHour},
      {Duration, "d", 24.0 * kSecondsPerHour},
      {Rate, "mm/h", 0.001 / kSecondsPerHour},
      {Rate, "in/h", kMetresPerInch / kSecondsPerHour},
      {Rate, "m/s", 1.0},
      {Rate, "ft/s", kMetresPerFoot},
      {Rate, "um/s", 1e-6},
      {Rate, "mm/day", 0.001 / kSecondsPerDay},
      {Rate, "in/day", kMetresPerInch / kSecondsPerDay},
      {Flow, "m3/s", 1.0},
      {Flow, "L/s", 0.001},
      {Flow, "ft3/s", kCubicMetresPerCubicFoot},
      {Flow, "gal/min", kCubicMetresPerGallon / kSecondsPerMinute},
      {Flow, "m3/day", 1.0 / kSecondsPerDay},
      {Flow, "L/day", 0.001 / kSecondsPerDay},
      {Flow, "gal/day", kCubicMetresPerGallon / kSecondsPerDay},
      {Slope, "%", 0.01},
      {Decay, "1/s", 1.0},
      {Decay, "1/min", 1.0 / kSecondsPerMinute},
      {Decay, "1/h", 1.0 / kSecondsPerHour},
  };
  return all;
}

std::string_view trimmed(std::string_view text) {
  constexpr std::string_view kSpace = " \t\r\n";
  const std::size_t first = text.find_first_not_of(kSpace);
  if (first == std::string_view::npos) {
    return {};
  }
  return text.substr(first, text.find_last_not_of(kSpace) - first + 1);
}

/// Typographic signs as people paste them, and what they stand for.
struct Sign {
  std::string_view written;
  char plain;
};
constexpr Sign kSigns[] = {{"\u2212", '-'}, {"\u00B2", '2'}, {"\u00B3", '3'}, {"\u00B5", 'u'},
                           {"\u03BC", 'u'}, {"\u00A0", ' '}, {"\u202F", ' '}};

std::string plain_signs(std::string_view text) {
  std::string plain;
  while (!text.empty()) {
    char next = text.front();
    std::size_t taken = 1;
    for (const Sign& sign : kSigns) {
      if (text.substr(0, sign.written.size()) == sign.written) {
        next = sign.plain;
        taken = sign.written.size();
      }
    }
    plain.push_back(next);
    text.remove_prefix(taken);
  }
  return plain;
}

std::string form_of(Dimension dimension) {
  switch (dimension) {
    case Dimension::Plain:
      return "a number, or a number with %";
    case Dimension::Slope:
      return "a number (0.02), or a number with % (2 %)";
    default:
      return fmt::format("a number with one of these units: {}", units_of(dimension));
  }
}

std::string advice_for(Dimension dimension) {
  switch (dimension) {
    case Dimension::Plain:
      return "write it as \"0.5\" or \"50 %\"";
    case Dimension::Slope:
      return "write it as \"2 %\"";
    default: {
      const std::string all = units_of(dimension);
      return fmt::format("write the number with its unit, as \"2 {}\"", all.substr(0, all.find(',')));
    }
  }
}

[[noreturn]] void refuse(std::string_view text, std::string_view why, Dimension dimension) {
  throw InputError({}, fmt::format("\"{}\" {}", text, why), form_of(dimension), advice_for(dimension));
}

}  // namespace

std::string units_of(Dimension dimension) {
  std::string list;
  for (const Unit& unit : units()) {
    if (unit.dimension != dimension) {
      continue;
    }
    if (!list.empty()) {
      list += ", ";
    }
    list += unit.word;
  }
  return list;
}

double unit_factor(std::string_view unit, Dimension dimension) {
  const std::string plain = plain_signs(unit);
  for (const Unit& known : units()) {
    if (known.dimension == dimension && known.word == plain) {
      return known.factor;
    }
  }
  refuse(unit, "is not a unit that fits here", dimension);
}

namespace {

double parse_one(std::string_view text, Dimension dimension) {
  const std::string plain = plain_signs(trimmed(text));
  std::string_view rest = plain;
  if (rest.empty()) {
    refuse(text, "has no number", dimension);
  }
  bool negative = false;
  if (rest.front() == '-' || rest.front() == '+') {
    negative = rest.front() == '-';
    rest.remove_prefix(1);
  }
  rest = trimmed(rest);
  // from_chars would take "inf" and "nan", too.
  const bool digit = !rest.empty() && ((rest.front() >= '0' && rest.front() <= '9') || rest.front() == '.');
  double number = 0.0;
  const auto [end, status] = std::from_chars(rest.data(), rest.data() + rest.size(), number);
  if (!digit || status == std::errc::invalid_argument) {
    refuse(text, "does not begin with a number", dimension);
  }
  if (status == std::errc::result_out_of_range) {
    refuse(text, "is too large or too small to use", dimension);
  }
  rest.remove_prefix(static_cast<std::size_t>(end - rest.data()));
  rest = trimmed(rest);
  if (!rest.empty() && (rest.front() == ',' || rest.front() == '.')) {
    refuse(text, "is not one number (decimals are written with a point, thousands without a sign)",
           dimension);
  }
  double factor = 1.0;
  if (!rest.empty()) {
    bool fits = false;
    for (const Unit& known : units()) {
      if (known.dimension == dimension && known.word == rest) {
        factor = known.factor;
        fits = true;
      }
    }
    if (!fits) {
      refuse(text, "has a unit that does not fit here", dimension);
    }
  } else if (dimension != Dimension::Plain && dimension != Dimension::Slope) {
    refuse(text, "has no unit", dimension);
  }
  const double value = (negative ? -number : number) * factor;
  if (!std::isfinite(value)) {
    refuse(text, "is too large to use", dimension);
  }
  return value;
}

}  // namespace

double parse_measure(std::string_view text, Dimension dimension) {
  const std::size_t foot = text.find("ft");
  const std::size_t inch = text.rfind("in");
  if (dimension != Dimension::Length || foot == std::string_view::npos || inch == std::string_view::npos ||
      inch < foot) {
    return parse_one(text, dimension);
  }
  const double feet_m = parse_one(text.substr(0, foot + 2), dimension);
  const std::string_view rest = trimmed(text.substr(foot + 2));
  const double inches_m = parse_one(rest, dimension);
  const bool plain = !rest.empty() && rest.front() >= '0' && rest.front() <= '9';
  if (!plain || !(inches_m < kMetresPerFoot)) {
    throw InputError({}, fmt::format("\"{}\" does not have 0 to 12 inches after its feet", text),
                     "62 ft 4 in", "write feet and inches as a tape shows them");
  }
  const bool negative = plain_signs(trimmed(text)).front() == '-';
  return negative ? feet_m - inches_m : feet_m + inches_m;
}

}  // namespace curbshed::base
