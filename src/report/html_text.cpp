#include "report/html_text.hpp"

#include <cmath>

#include <fmt/format.h>

namespace curbshed::report {

std::string escaped(std::string_view text) {
  std::string safe;
  for (const char c : text) {
    switch (c) {
      case '&':
        safe += "&amp;";
        break;
      case '<':
        safe += "&lt;";
        break;
      case '>':
        safe += "&gt;";
        break;
      case '"':
        safe += "&quot;";
        break;
      default:
        safe += static_cast<unsigned char>(c) < 0x20 || c == 0x7F ? ' ' : c;
    }
  }
  return safe;
}

std::string short_number(double value) {
  const double rounded = std::round(value * 100.0) / 100.0;
  std::string text = fmt::format("{:.2f}", rounded == 0.0 ? 0.0 : rounded);
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') text.pop_back();
  return text;
}

}  // namespace curbshed::report
