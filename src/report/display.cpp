#include "curbshed/report/display.hpp"

#include "curbshed/base/quantity.hpp"

#include <cmath>

#include <fmt/format.h>

namespace curbshed::report {
namespace {

std::string grouped(const std::string& digits) {
  std::string text;
  for (std::size_t i = 0; i < digits.size(); ++i) {
    if (i > 0 && (digits.size() - i) % 3 == 0 && digits[i - 1] != '-') {
      text += ',';
    }
    text += digits[i];
  }
  return text;
}

/// About three figures, never more than one digit after the point from 10 on.
std::string figures(double value) {
  const double size = std::abs(value);
  if (size < 0.005) {
    return "0";
  }
  if (size < 1.0) {
    return fmt::format("{:.2f}", value);
  }
  if (size < 99.95) {
    return fmt::format("{:.1f}", value);
  }
  if (size < 9995.0) {
    return grouped(fmt::format("{:.0f}", value));
  }
  return grouped(fmt::format("{:.0f}", std::round(value / 10.0) * 10.0));
}

std::string whole(double value) {
  return grouped(fmt::format("{:.0f}", std::abs(value) < 0.5 ? 0.0 : value));
}

constexpr bool continues(char c) { return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U; }

}  // namespace

std::string show_volume(double m3, Units units) {
  if (units == Units::Us) {
    return whole(m3 / base::kCubicMetresPerGallon) + " gal";
  }
  return std::abs(m3) < 1.0 ? whole(m3 * 1000.0) + " L" : figures(m3) + " m3";
}

std::string show_flow(double m3_s, Units units) {
  return units == Units::Us ? figures(m3_s / base::kCubicMetresPerCubicFoot) + " ft3/s"
                            : figures(m3_s * 1000.0) + " L/s";
}

std::string show_rain(double m, Units units) {
  return units == Units::Us ? fmt::format("{:.2f} in", m / base::kMetresPerInch)
                            : fmt::format("{:.0f} mm", m * 1000.0);
}

std::string show_distance(double m, Units units) {
  return units == Units::Us ? whole(m / base::kMetresPerFoot) + " ft" : whole(m) + " m";
}

std::string show_depth(double m, Units units) {
  return units == Units::Us ? fmt::format("{:.1f} in", m / base::kMetresPerInch)
                            : fmt::format("{:.0f} cm", m * 100.0);
}

std::string show_area(double m2, Units units) {
  return units == Units::Us ? whole(m2 / (base::kMetresPerFoot * base::kMetresPerFoot)) + " ft2"
                            : whole(m2) + " m2";
}

std::string show_share(double share) {
  const double percent = share * 100.0;
  return std::abs(percent) > 0.0 && std::abs(percent) < 0.5 ? "under 1 %" : fmt::format("{:.0f} %", percent);
}

std::string show_minute(double minute) { return fmt::format("at minute {:.0f}", minute); }

std::size_t shown_width(std::string_view text) {
  std::size_t width = 0;
  for (const char c : text) {
    width += continues(c) ? 0U : 1U;
  }
  return width;
}

std::vector<std::string> wrapped(std::string_view text, std::size_t width) {
  std::vector<std::string> lines;
  std::string line;
  std::size_t at = 0;
  while (at < text.size()) {
    const std::size_t space = text.find(' ', at);
    const std::string_view word =
        text.substr(at, space == std::string_view::npos ? text.size() - at : space - at);
    if (!line.empty() && shown_width(line) + 1 + shown_width(word) > width) {
      lines.push_back(line);
      line.clear();
    }
    line += line.empty() ? "" : " ";
    line += word;
    // Long ids break after a hyphen.
    for (std::size_t hyphen = 0; shown_width(line) > width; line.erase(0, hyphen + 1)) {
      hyphen = line.rfind('-', width - 1);
      if (hyphen == std::string::npos || hyphen == 0 || hyphen + 1 == line.size()) {
        break;
      }
      lines.push_back(line.substr(0, hyphen + 1));
    }
    at = space == std::string_view::npos ? text.size() : space + 1;
  }
  if (!line.empty() || lines.empty()) {
    lines.push_back(line);
  }
  return lines;
}

std::string padded(std::string_view text, std::size_t width, bool right) {
  const std::size_t shown = shown_width(text);
  if (shown <= width) {
    const std::string space(width - shown, ' ');
    return right ? space + std::string(text) : std::string(text) + space;
  }
  std::string cut;
  std::size_t kept = 0;
  for (std::size_t i = 0; i < text.size() && !(kept + 1 == width && !continues(text[i])); ++i) {
    kept += continues(text[i]) ? 0U : 1U;
    cut += text[i];
  }
  return cut + "…";
}

}  // namespace curbshed::report
