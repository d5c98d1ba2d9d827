#include "curbshed/report/cautions.hpp"

namespace curbshed::report {

const std::vector<std::string_view>& cautions() {
  static const std::vector<std::string_view> texts = {
      "Screening only: not for drainage design, flood zones or permits. Drains and street capacity must be "
      "sized as if "
      "these basins were full.",
      "Permits and the city's rules come first. Have buried lines located before any digging. Mind traffic, "
      "open holes, "
      "saw dust and heat.",
      "Water near foundations, slopes, wells or dirty ground: get licensed advice.",
      "No standing water beyond the local limit.",
      "Edible plants and street water: ask first.",
  };
  return texts;
}

std::string cautions_line() {
  std::string line;
  for (const std::string_view text : cautions()) {
    line += line.empty() ? "" : " ";
    line += text;
  }
  return line;
}

}  // namespace curbshed::report
