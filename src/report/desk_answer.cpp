#include "curbshed/report/desk_answer.hpp"

#include "curbshed/base/quantity.hpp"
#include "curbshed/report/display.hpp"

#include "report/json_text.hpp"

#include <cmath>

#include <fmt/format.h>

namespace curbshed::report {
namespace {

/// Three figures, without an exponent as long as people can read it.
std::string three_figures(double value) {
  const double size = std::abs(value);
  if (size == 0.0) {
    return "0";
  }
  if (size < 1e-4 || size >= 1e6) {
    return fmt::format("{:.2e}", value);
  }
  const int whole = static_cast<int>(std::floor(std::log10(size)));
  return fmt::format("{:.{}f}", value, std::max(0, 2 - whole));
}

struct Shown {
  const char* unit;
  double factor;
};
struct Pair {
  Shown si;
  Shown us;
};

/// Units that suit the size: a gutter's depth in centimetres, a street in metres.
Pair units_for(double si, base::Dimension dimension) {
  using enum base::Dimension;
  switch (dimension) {
    case Length:
      return std::abs(si) < 0.5 ? Pair{{"mm", 1000.0}, {"in", 1.0 / base::kMetresPerInch}}
                                : Pair{{"m", 1.0}, {"ft", 1.0 / base::kMetresPerFoot}};
    case Area:
      return {{"m2", 1.0}, {"ft2", 1.0 / (base::kMetresPerFoot * base::kMetresPerFoot)}};
    case Volume:
      return std::abs(si) < 1.0 ? Pair{{"L", 1000.0}, {"ft3", 1.0 / base::kCubicMetresPerCubicFoot}}
                                : Pair{{"m3", 1.0}, {"ft3", 1.0 / base::kCubicMetresPerCubicFoot}};
    case Rate:
      return std::abs(si) < 0.01 ? Pair{{"mm/h", 1000.0 * base::kSecondsPerHour},
                                        {"in/h", base::kSecondsPerHour / base::kMetresPerInch}}
                                 : Pair{{"m/s", 1.0}, {"ft/s", 1.0 / base::kMetresPerFoot}};
    case Flow:
      return {{"m3/s", 1.0}, {"ft3/s", 1.0 / base::kCubicMetresPerCubicFoot}};
    default:
      return {{"", 1.0}, {"", 1.0}};
  }
}

std::string time_words(double seconds) {
  if (seconds < 120.0) {
    return three_figures(seconds) + " s";
  }
  return seconds < 7200.0 ? three_figures(seconds / base::kSecondsPerMinute) + " min"
                          : three_figures(seconds / base::kSecondsPerHour) + " h";
}

std::string value_words(const DeskValue& value) {
  if (const auto* text = std::get_if<std::string>(&value.value)) {
    return *text;
  }
  if (const auto* number = std::get_if<double>(&value.value)) {
    return both_units(*number, value.dimension);
  }
  std::string list;
  for (const double number : std::get<std::vector<double>>(value.value)) {
    list += (list.empty() ? "" : ", then ") + both_units(number, value.dimension);
  }
  return list;
}

/// SI to the unit at the end of the key.
double factor_of(const std::string& key, base::Dimension dimension) {
  const auto ends = [&](std::string_view ending) {
    return key.size() >= ending.size() && key.compare(key.size() - ending.size(), ending.size(), ending) == 0;
  };
  if (dimension == base::Dimension::Length && ends("_mm")) return 1000.0;
  if (dimension == base::Dimension::Duration && ends("_h")) return 1.0 / base::kSecondsPerHour;
  if (dimension == base::Dimension::Rate && ends("_mm_h")) return 1000.0 * base::kSecondsPerHour;
  if (dimension == base::Dimension::Volume && ends("_l")) return 1000.0;
  return 1.0;
}

}  // namespace

std::string both_units(double si, base::Dimension dimension) {
  if (dimension == base::Dimension::Duration) {
    return time_words(si);
  }
  if (dimension == base::Dimension::Slope) {
    return three_figures(si * 100.0) + " %";
  }
  if (dimension == base::Dimension::Plain) {
    return three_figures(si);
  }
  const Pair pair = units_for(si, dimension);
  if (dimension == base::Dimension::Decay) return three_figures(si * base::kSecondsPerHour) + " 1/h";
  if (dimension == base::Dimension::Volume) {
    return fmt::format(
        "{} {} ({} ft3, {} gal)", three_figures(si * pair.si.factor), pair.si.unit,
        std::abs(si) < 1.0 ? fmt::format("{:.4g}", si * pair.us.factor) : three_figures(si * pair.us.factor),
        three_figures(si / base::kCubicMetresPerGallon));
  }
  return fmt::format("{} {} ({} {})", three_figures(si * pair.si.factor), pair.si.unit,
                     three_figures(si * pair.us.factor), pair.us.unit);
}

namespace {

const std::vector<double>& list_of(const DeskValue& value) {
  const auto* list = std::get_if<std::vector<double>>(&value.value);
  base::ensure(list != nullptr, "a series is made of lists");
  return *list;
}

std::string series_csv(const DeskAnswer& answer) {
  std::string text;
  for (const DeskValue& value : answer.values) text += (text.empty() ? "" : ",") + value.key;
  text += "\n";
  for (std::size_t row = 0; row < list_of(answer.values.front()).size(); ++row) {
    std::string line;
    for (const DeskValue& value : answer.values) {
      const double number = list_of(value).at(row) * factor_of(value.key, value.dimension);
      line += fmt::format("{}{:.7g}", line.empty() ? "" : ",", number);
    }
    text += line + "\n";
  }
  return text;
}

}  // namespace

std::string desk_text(const DeskAnswer& answer) {
  if (answer.series) return series_csv(answer);
  constexpr std::size_t kWidth = 100;
  std::string text;
  const auto add = [&](const std::string& words, const char* lead) {
    bool first = true;
    for (const std::string& line : wrapped(words, kWidth - 2)) {
      text += (first ? lead : std::string(shown_width(lead), ' ')) + line + "\n";
      first = false;
    }
  };
  add(answer.title, "");
  text += "\n";
  for (const DeskValue& value : answer.values) {
    const bool none = std::holds_alternative<std::monostate>(value.value);
    add(none ? value.words : fmt::format("{}: {}.", value.words, value_words(value)), "");
  }
  text += "\nWorking:\n";
  for (const std::string& line : answer.working) add(line, "  ");
  text += "\nFrom:\n";
  for (const std::string& source : answer.sources) add(source, "- ");
  if (!answer.cautions.empty()) {
    text += "\nPlease mind:\n";
    for (const std::string& caution : answer.cautions) add(caution, "- ");
  }
  return text;
}

std::string desk_json(const DeskAnswer& answer) {
  Json json;
  for (const DeskValue& value : answer.values) {
    const double factor = factor_of(value.key, value.dimension);
    if (value.text_only) continue;
    if (std::holds_alternative<std::monostate>(value.value)) {
      json[value.key] = nullptr;
    } else if (const auto* text = std::get_if<std::string>(&value.value)) {
      json[value.key] = *text;
    } else if (const auto* number = std::get_if<double>(&value.value)) {
      json[value.key] = *number * factor;
    } else {
      json[value.key] = Json::array();
      for (const double one : std::get<std::vector<double>>(value.value))
        json[value.key].push_back(one * factor);
    }
  }
  json["sources"] = answer.sources;
  return json_text(json);
}

}  // namespace curbshed::report
