#include "curbshed/siting/rules_doc.hpp"

#include "curbshed/siting/rules.hpp"
#include "curbshed/siting/rules_together.hpp"

#include <fmt/format.h>

namespace curbshed::siting {
namespace {

constexpr const char* kHead =
    "# Rules for places\n"
    "\n"
    "This page is made from the table of rules; a test compares them.\n"
    "\n"
    "`curbshed run` measures every cut's place against these rules. **They are our limits, not your "
    "city's**, put "
    "together from published pages of many places, some of them in humid climates; where a city has its own, "
    "its own "
    "count. Screening only: it does not approve anything. Permits and the city's rules come first, buried "
    "lines are "
    "located before any digging.\n"
    "\n"
    "## How a place is judged\n"
    "\n"
    "| result | when |\n"
    "|---|---|\n"
    "| within limit | on the good side of `look_at` (of `limit` where there is no `look_at`) by at least "
    "twice the "
    "doubt of the value; equal is within |\n"
    "| over limit | beyond `limit` by more than twice the doubt |\n"
    "| measure on site | everything between; what rests on a soil map or an assumed rate; what needs flow "
    "where the "
    "edge of the data cuts the area |\n"
    "| no data | nothing tells; never within |\n"
    "\n"
    "Grade and cross slope carry the errors of their fits, levels the error of the elevation model "
    "(`ground.elevation_error`) until they are measured on the street (`[street.field]`). Positions of drawn "
    "things "
    "are taken as drawn. A place is over when one rule for basins is; else it is to be measured when one "
    "rule says so "
    "or one on safety has no data; else it is within. Rules for trees keep no basin out. Distances are from "
    "the "
    "basin's water line.\n"
    "\n"
    "A layer that is given and shows nothing near a place counts as looked at: nothing is there. Of buried "
    "lines, "
    "wells and grounds this holds by kind: a kind of which none is drawn was perhaps not asked, and is no "
    "data.\n"
    "\n"
    "`screening.csv` has one row a place and rule with value, doubt, limit, source and what to do; the layer "
    "`screening` in `curbshed.gpkg` the results of each place; terminal and page say which rules keep basins "
    "out: by "
    "themselves alone, with others, and how many places would come back if the rule were loosened by a "
    "tenth.\n"
    "\n"
    "## Your own limits\n"
    "\n"
    "`curbshed start` writes the table as `rules.toml` beside the study, which names it:\n"
    "\n"
    "```toml\n"
    "[rules]\n"
    "file = \"rules.toml\"\n"
    "```\n"
    "\n"
    "A row of that file counts instead of the built-in row as a whole; rules without a row keep theirs:\n"
    "\n"
    "```toml\n"
    "format = 1\n"
    "\n"
    "[[rule]]\n"
    "id = \"driveway\"\n"
    "unit = \"ft\"\n"
    "look_at = 6\n"
    "limit = 4\n"
    "source = \"Arroyo Bend, street code, 12.4\"\n"
    "whose = \"Arroyo Bend\"\n"
    "\n"
    "[[rule]]\n"
    "id = \"septic\"\n"
    "on = false\n"
    "```\n"
    "\n"
    "`unit` and `source` are needed, `look_at` or `limit` may be left out. Refused with file and line: a "
    "rule that is "
    "not here, twice, without a unit or with one that does not fit, `look_at` beyond `limit`, and a set "
    "under which no "
    "basin can exist.\n"
    "\n"
    "## The rules together\n"
    "\n"
    "The width that a basin needs is what is kept behind the curb (beside parked cars the step-out) + 2 × "
    "side slope × "
    "(ponding + drop) + floor + shelf. ";

std::string number(const Rule& rule, const std::optional<double>& value) {
  return value ? fmt::format("{} {}", in_rule_unit(rule, *value), rule.unit) : std::string("–");
}

std::string source(const Rule& rule) {
  return rule.note.empty() ? rule.source : fmt::format("{}; {}", rule.source, rule.note);
}

}  // namespace

std::string rules_doc() {
  const RuleSet& rules = default_rules();
  constexpr double kSixFeet_m = 1.8288;
  std::string page = kHead + admitted_words(rules, kSixFeet_m) + "\n";
  std::string_view group;
  for (const Rule& rule : rules.rules) {
    const RuleKind& kind = rule_kind(rule.id);
    if (kind.group != group) {
      group = kind.group;
      page += fmt::format(
          "\n## {}\n\n| rule | measures | for | | look at | limit | source | without data "
          "|\n|---|---|---|---|---|---|---|---|\n",
          group);
    }
    page += fmt::format("| `{}` | {} | {} | {} | {} | {} | {} | {}{} |\n", kind.key, kind.measures,
                        word_of(kind.used_for), word_of(kind.direction), number(rule, rule.look_at),
                        number(rule, rule.limit), source(rule), kind.get,
                        kind.safety ? "" : " (does not keep a place from being within)");
  }
  return page;
}

}  // namespace curbshed::siting
