#include "curbshed/cli/memory_size.hpp"

#include <array>
#include <cctype>
#include <charconv>
#include <utility>

#include <fmt/format.h>

namespace curbshed::cli {

std::optional<std::int64_t> parse_memory_size(std::string_view text) {
  constexpr double kMost = 1152921504606846976.0;  // 2^60
  double number = 0.0;
  const auto [end, problem] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (problem != std::errc()) {
    return std::nullopt;
  }
  std::string unit;
  for (const char letter : text.substr(static_cast<std::size_t>(end - text.data()))) {
    if (letter != ' ') {
      unit += static_cast<char>(std::tolower(static_cast<unsigned char>(letter)));
    }
  }
  constexpr std::array<std::pair<std::string_view, double>, 8> kUnits = {{{"kb", 1e3},
                                                                          {"mb", 1e6},
                                                                          {"gb", 1e9},
                                                                          {"tb", 1e12},
                                                                          {"kib", 1024.0},
                                                                          {"mib", 1048576.0},
                                                                          {"gib", 1073741824.0},
                                                                          {"tib", 1099511627776.0}}};
  for (const auto& [name, bytes] : kUnits) {
    if (unit == name && number > 0.0 && number * bytes >= 1.0 && number * bytes <= kMost) {
      return static_cast<std::int64_t>(number * bytes);
    }
  }
  return std::nullopt;
}

std::string memory_words(double bytes) {
  if (bytes < 0.9995e9) {
    return fmt::format("{:.3g} MB", bytes / 1e6);
  }
  return fmt::format("{:.3g} GB", bytes / 1e9);
}

}  // namespace curbshed::cli
