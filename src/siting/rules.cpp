#include "curbshed/siting/rules.hpp"

#include "curbshed/base/names.hpp"
#include "curbshed/siting/rules_together.hpp"

#include "siting/rule_table.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace curbshed::siting {
namespace {

using base::InputError;

constexpr std::string_view kRatioUnit = "to 1";

std::string units_allowed(base::Dimension dimension) {
  return dimension == base::Dimension::Plain ? std::string(kRatioUnit) : base::units_of(dimension);
}

std::vector<std::string> all_keys() {
  std::vector<std::string> keys;
  for (const RuleKind& kind : rule_kinds()) keys.emplace_back(kind.key);
  return keys;
}

Rule built_in(const BuiltInRule& row) {
  const double factor = rule_unit_factor(row.kind.unit, row.kind.dimension);
  Rule rule;
  rule.id = row.kind.id;
  rule.unit = row.kind.unit;
  if (row.look_at) rule.look_at = *row.look_at * factor;
  if (row.limit) rule.limit = *row.limit * factor;
  rule.source = row.source;
  rule.whose = kOurs;
  rule.note = row.note;
  return rule;
}

/// A row of the user's, checked.
class RowCheck {
 public:
  RowCheck(const study::RuleRows& rows, const study::RuleRow& row) : rows_(rows), row_(row) {}

  Rule rule() const {
    const RuleKind* kind = find_rule_kind(row_.id);
    if (kind == nullptr) {
      const std::vector<std::string> near = base::nearest_words(row_.id, all_keys(), 3);
      throw InputError(rows_.where(row_, "id"), fmt::format("there is no rule \"{}\"", row_.id),
                       fmt::format("{}; the others are in docs/rules.md", fmt::join(near, ", ")),
                       "write the id of the rule that is meant");
    }
    same("for", row_.used_for, word_of(kind->used_for));
    same("direction", row_.direction, word_of(kind->direction));
    Rule rule;
    rule.id = kind->id;
    rule.on = row_.on.value_or(true);
    rule.line = row_.line;
    rule.whose = row_.whose.value_or(std::string(kOurs));
    rule.note = row_.note.value_or("");
    rule.source = row_.source.value_or("");
    if (!rule.on) {
      rule.unit = kind->unit;
      return rule;
    }
    numbers(*kind, rule);
    if (rule.source.empty()) {
      throw InputError(rows_.where(row_), "the rule does not say where its limit comes from",
                       "source = \"…\"", "name the document, or write \"common practice, no source\"");
    }
    return rule;
  }

 private:
  void same(const char* key, const std::optional<std::string>& written, std::string_view ours) const {
    if (written && *written != ours) {
      throw InputError(rows_.where(row_, key), fmt::format("`{}` of this rule is not \"{}\"", key, *written),
                       std::string(ours), fmt::format("write {} = \"{}\", or take the line out", key, ours));
    }
  }

  void numbers(const RuleKind& kind, Rule& rule) const {
    if (!row_.look_at && !row_.limit) {
      throw InputError(rows_.where(row_), "the rule has neither look_at nor limit", "look_at, limit, or both",
                       "add one, or switch the rule off with on = false");
    }
    if (!row_.unit) {
      throw InputError(rows_.where(row_), "the rule has no unit", units_allowed(kind.dimension),
                       fmt::format("add unit = \"{}\" if that is what the numbers are", kind.unit));
    }
    double factor = 0.0;
    try {
      factor = rule_unit_factor(*row_.unit, kind.dimension);
    } catch (const InputError& error) {
      throw InputError(rows_.where(row_, "unit"), error.met(), units_allowed(kind.dimension), error.next());
    }
    rule.unit = *row_.unit;
    if (row_.look_at) rule.look_at = *row_.look_at * factor;
    if (row_.limit) rule.limit = *row_.limit * factor;
    if (!rule.look_at || !rule.limit) return;
    const bool beyond =
        kind.direction == Direction::AtMost ? *rule.look_at > *rule.limit : *rule.look_at < *rule.limit;
    if (beyond) {
      throw InputError(
          rows_.where(row_, "look_at"),
          fmt::format("look_at {} {} lies beyond the limit {} {}", in_rule_unit(rule, *rule.look_at),
                      rule.unit, in_rule_unit(rule, *rule.limit), rule.unit),
          fmt::format("look_at {} the limit ({})",
                      kind.direction == Direction::AtMost ? "not above" : "not below",
                      word_of(kind.direction)),
          "exchange the two, or take look_at out");
    }
  }

  const study::RuleRows& rows_;
  const study::RuleRow& row_;
};

std::string quoted(std::string_view text) {
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') out += '\\';
    out += c;
  }
  return out + "\"";
}

}  // namespace

const std::vector<RuleKind>& rule_kinds() {
  static const std::vector<RuleKind> kinds = [] {
    std::vector<RuleKind> all;
    for (const BuiltInRule& row : built_in_rules()) all.push_back(row.kind);
    return all;
  }();
  return kinds;
}

const RuleKind& rule_kind(RuleId id) { return rule_kinds().at(static_cast<std::size_t>(id)); }

const RuleKind* find_rule_kind(std::string_view key) {
  for (const RuleKind& kind : rule_kinds()) {
    if (kind.key == key) return &kind;
  }
  return nullptr;
}

double rule_unit_factor(std::string_view unit, base::Dimension dimension) {
  if (dimension != base::Dimension::Plain) return base::unit_factor(unit, dimension);
  if (unit != kRatioUnit) {
    throw InputError({}, fmt::format("\"{}\" is not a unit that fits here", unit), std::string(kRatioUnit),
                     "write unit = \"to 1\": so many across for one down");
  }
  return 1.0;
}

std::string in_rule_unit(const Rule& rule, double value_si) {
  const double value = value_si / rule_unit_factor(rule.unit, rule_kind(rule.id).dimension);
  const double size = std::abs(value);
  std::string text = fmt::format("{:.{}f}", value, size < 10.0 ? 2 : size < 100.0 ? 1 : 0);
  if (text.find('.') != std::string::npos) {
    text.erase(text.find_last_not_of('0') + 1);
    if (text.back() == '.') text.pop_back();
  }
  return text == "-0" ? "0" : text;
}

std::string limit_words(const Rule& rule) {
  const std::string_view direction = word_of(rule_kind(rule.id).direction);
  std::string words;
  if (rule.look_at)
    words = fmt::format("look at {} {} {}", direction, in_rule_unit(rule, *rule.look_at), rule.unit);
  if (rule.limit) {
    words += fmt::format("{}limit {} {} {}", words.empty() ? "" : ", ", direction,
                         in_rule_unit(rule, *rule.limit), rule.unit);
  }
  return words;
}

const RuleSet& default_rules() {
  static const RuleSet rules = [] {
    RuleSet set;
    for (const BuiltInRule& row : built_in_rules()) set.rules.push_back(built_in(row));
    check_together(set);
    return set;
  }();
  return rules;
}

RuleSet rules_of(const study::RuleRows& rows) {
  RuleSet set = default_rules();
  set.file = rows.file;
  for (const study::RuleRow& row : rows.rows) {
    Rule rule = RowCheck(rows, row).rule();
    Rule& place = set.rules[static_cast<std::size_t>(rule.id)];
    if (place.line != 0) {
      throw InputError(rows.where(row, "id"),
                       fmt::format("the rule \"{}\" is there twice, first in line {}", row.id, place.line),
                       "each rule once", "take one of the two out");
    }
    place = std::move(rule);
  }
  check_together(set);
  return set;
}

std::string rules_toml(const RuleSet& rules) {
  std::string out =
      "# Rules by which places for cuts, basins and trees are looked at; what each means: docs/rules.md.\n"
      "# Beyond look_at somebody must look, beyond limit the place is out; equal is within. on = false "
      "switches "
      "a rule off.\n"
      "# whose = \"ours\": not your city's limit. Write the city's name and its source where you change "
      "one.\n"
      "format = 1\n";
  for (const Rule& rule : rules.rules) {
    const RuleKind& kind = rule_kind(rule.id);
    out += fmt::format("\n[[rule]]  # {}\nid = \"{}\"\n", kind.measures, kind.key);
    if (!rule.on) out += "on = false\n";
    out += fmt::format("for = \"{}\"\ndirection = \"{}\"\nunit = \"{}\"\n", word_of(kind.used_for),
                       word_of(kind.direction), rule.unit);
    const double factor = rule_unit_factor(rule.unit, kind.dimension);
    if (rule.look_at) out += fmt::format("look_at = {:.10g}\n", *rule.look_at / factor);
    if (rule.limit) out += fmt::format("limit = {:.10g}\n", *rule.limit / factor);
    out += fmt::format("source = {}\nwhose = {}\n", quoted(rule.source), quoted(rule.whose));
    if (!rule.note.empty()) out += fmt::format("note = {}\n", quoted(rule.note));
  }
  return out;
}

std::string_view word_of(UsedFor used_for) {
  return used_for == UsedFor::Basin ? "basin" : used_for == UsedFor::Tree ? "tree" : "both";
}

std::string_view word_of(Direction direction) {
  return direction == Direction::AtMost ? "at most" : "at least";
}

}  // namespace curbshed::siting
