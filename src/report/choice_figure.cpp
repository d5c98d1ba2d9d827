#include "curbshed/report/choice_figure.hpp"

#include "curbshed/report/chosen.hpp"

#include "report/html_text.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace curbshed::report {
namespace {

constexpr double kTread = 46.0;  ///< width of a step
constexpr double kLeft = 8.0;
constexpr double kTop = 34.0;
constexpr double kTall = 120.0;  ///< of the highest that is drawn
constexpr double kFoot = 44.0;
constexpr double kWords = 190.0;
constexpr std::size_t kMostSteps = 60;

}  // namespace

std::string choice_figure(const RunFacts& facts, Units units) {
  if (facts.chosen == nullptr || facts.chosen->choice.build_order.empty()) return {};
  const siting::Choice& choice = facts.chosen->choice;
  const std::size_t steps = std::min(choice.value_after.size(), kMostSteps);
  const double most = std::max({choice.bound, choice.value, 1e-12});
  const double tread = std::min(kTread, 900.0 / static_cast<double>(steps));
  const double base = kTop + kTall;
  const auto y = [&](double worth) { return base - std::max(0.0, worth) / most * kTall; };
  // A flight of stairs: each tread is what is kept so far.
  std::string outline = fmt::format("M{} {}", short_number(kLeft), short_number(base));
  std::string words;
  for (std::size_t i = 0; i < steps; ++i) {
    const double x = kLeft + static_cast<double>(i) * tread;
    outline += fmt::format("V{}H{}", short_number(y(choice.value_after[i])), short_number(x + tread));
    const bool shown = steps <= 20 || i == 0 || i + 1 == steps || (i + 1) % 10 == 0;
    if (!shown) continue;
    words += fmt::format("<text x=\"{0}\" y=\"{1}\" text-anchor=\"middle\">{2}</text>",
                         short_number(x + tread / 2.0), short_number(base + 16.0), i + 1);
  }
  outline += fmt::format("V{}Z", short_number(base));
  const double right = kLeft + static_cast<double>(steps) * tread;
  const double line = y(choice.bound);
  words += fmt::format("<text x=\"{}\" y=\"{}\">{}</text>", short_number(right + 8.0),
                       short_number(y(choice.value_after[steps - 1]) + 4.0),
                       escaped(worth_words(facts, choice.value_after[steps - 1], units)));
  const bool room = y(choice.value_after[steps - 1]) - line > 16.0;
  if (!choice.proved && room) {
    words += fmt::format("<text x=\"{}\" y=\"{}\">no set more than {}</text>", short_number(right + 8.0),
                         short_number(line + 4.0), escaped(worth_words(facts, choice.bound, units)));
  }
  const std::string dashes = choice.proved
                                 ? std::string()
                                 : fmt::format("<path class=\"before\" d=\"M{} {}H{}\"/>",
                                               short_number(kLeft), short_number(line), short_number(right));
  const double wide = right + kWords;
  return fmt::format(
      "<figure><svg class=\"ribbon stairs\" width=\"{0:.0f}\" height=\"{1:.0f}\" viewBox=\"0 0 {0:.0f} "
      "{1:.0f}\" "
      "role=\"img\" aria-label=\"What the first cuts bring together, one step a cut\"><path class=\"water\" "
      "d=\"{2}\"/>{3}{4}<text x=\"{5}\" y=\"{6}\">cuts built</text></svg><figcaption class=\"small\">One "
      "step a cut "
      "in build order: how much the first ones bring together.{7}</figcaption></figure>\n",
      wide, base + kFoot, outline, dashes, words, short_number(kLeft), short_number(base + 34.0),
      choice.proved ? "" : " Dashed: no set of this size can bring more.");
}

}  // namespace curbshed::report
