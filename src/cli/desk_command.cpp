#include "curbshed/cli/desk_command.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace curbshed::cli {
namespace {

using base::InputError;

std::string range_of(const DeskFlag& flag) {
  if (flag.text) return flag.choices.empty() ? "text" : fmt::format("{}", fmt::join(flag.choices, ", "));
  return fmt::format("{} to {}", flag.least.empty() ? "more than 0" : flag.least, flag.most);
}

base::Where where(const DeskCheck& check, const DeskFlag& flag) {
  return {fmt::format("desk {}", check.name), fmt::format("--{}", flag.name), ""};
}

double number_of(const DeskCheck& check, const DeskFlag& flag, std::string_view text) {
  double value = 0.0;
  try {
    value = base::parse_measure(text, flag.dimension);
  } catch (const InputError& error) {
    throw InputError(where(check, flag), error.met(), fmt::format("{}; {}", error.allowed(), range_of(flag)),
                     error.next());
  }
  const double least = flag.least.empty() ? 0.0 : base::parse_measure(flag.least, flag.dimension);
  const double most = base::parse_measure(flag.most, flag.dimension);
  const bool above = flag.least.empty() ? value > 0.0 : value >= least;
  if (!(above && value <= most)) {
    throw InputError(where(check, flag), fmt::format("{} is out of range", text), range_of(flag),
                     "look at the number and its unit");
  }
  return value;
}

const std::string& word_of(const DeskCheck& check, const DeskFlag& flag, const std::string& text) {
  const auto& choices = flag.choices;
  const bool known =
      choices.empty() ? !text.empty() : std::find(choices.begin(), choices.end(), text) != choices.end();
  if (known) return text;
  throw InputError(where(check, flag), fmt::format("\"{}\" is not usable", text), range_of(flag),
                   "look at the word");
}

}  // namespace

bool DeskValues::given(std::string_view name) const {
  return numbers.find(name) != numbers.end() || texts.find(name) != texts.end();
}

double DeskValues::operator[](std::string_view name) const {
  const auto found = numbers.find(name);
  base::ensure(found != numbers.end(), "a desk check asks for flags that it declares and needs");
  return found->second;
}

const std::string& DeskValues::text(std::string_view name) const {
  const auto found = texts.find(name);
  base::ensure(found != texts.end(), "a desk check asks for words that it declares and needs");
  return found->second;
}

double DeskValues::needed(std::string_view name, std::string_view kind) const {
  const auto found = numbers.find(name);
  if (found != numbers.end()) return found->second;
  throw InputError({"", fmt::format("--{}", name), ""}, fmt::format("it is missing; {} needs it", kind),
                   "a value with its unit", fmt::format("add --{} …", name));
}

double DeskValues::or_else(std::string_view name, double fallback) const {
  const auto found = numbers.find(name);
  return found == numbers.end() ? fallback : found->second;
}

const std::vector<DeskCheck>& desk_checks() {
  static const std::vector<DeskCheck> all = [] {
    std::vector<DeskCheck> checks;
    for (auto* some :
         {&street_checks, &rain_checks, &storm_checks, &soil_checks, &basin_checks, &flow_checks}) {
      for (DeskCheck& check : (*some)()) checks.push_back(std::move(check));
    }
    return checks;
  }();
  return all;
}

report::DeskAnswer desk_answer(const DeskCheck& check, const std::map<std::string, std::string>& flags) {
  DeskValues values;
  for (const DeskFlag& flag : check.flags) {
    const auto given = flags.find(std::string(flag.name));
    if (given == flags.end() && flag.required) {
      throw InputError(where(check, flag), fmt::format("it is missing. {}", flag.doc), range_of(flag),
                       fmt::format("add --{} …; `curbshed desk {} --help` lists all", flag.name, check.name));
    }
    if (given == flags.end() && flag.fallback.empty()) continue;
    const std::string text = given == flags.end() ? std::string(flag.fallback) : given->second;
    if (flag.text) {
      values.texts[std::string(flag.name)] = word_of(check, flag, text);
    } else {
      values.numbers[std::string(flag.name)] = number_of(check, flag, text);
    }
  }
  try {
    return check.answer(values);
  } catch (const InputError& error) {
    throw error.located({fmt::format("desk {}", check.name), "", ""});
  }
}

std::string desk_command(const Options& options) {
  for (const DeskCheck& check : desk_checks()) {
    if (check.name != options.desk_check) continue;
    const report::DeskAnswer answer = desk_answer(check, options.desk_flags);
    return options.json ? report::desk_json(answer) : report::desk_text(answer);
  }
  throw base::BugError("the command line names a check that there is");
}

std::string desk_help(const DeskCheck& check) {
  std::string text = fmt::format("curbshed desk {} …\n\n{}\n\n", check.name, check.doc);
  for (const DeskFlag& flag : check.flags) {
    std::string more = flag.text && flag.choices.empty() ? std::string() : range_of(flag);
    if (!flag.fallback.empty()) more += fmt::format("; without it {}", flag.fallback);
    if (flag.required) more += more.empty() ? "needed" : "; needed";
    text += fmt::format("  --{:<18} {} ({})\n", flag.name, flag.doc, more);
  }
  return text +
         "  --json               the numbers alone, for a program; the unit is the end of each name\n"
         "  -h, --help           this text\n\n"
         "A value with a dimension needs its unit: 1.8ft3/s, 18in, \"2 in/h\". Slopes and shares are a "
         "number or %.\n"
         "Screening only: not for drainage design, flood zones or permits.\n";
}

std::string desk_help() {
  std::string text =
      "curbshed desk CHECK …\n\nOne number of a handbook, worked for the inspector: with the formula, its "
      "source and both "
      "unit systems.\n\n";
  for (const DeskCheck& check : desk_checks()) text += fmt::format("  {:<12} {}\n", check.name, check.doc);
  return text + "\n`curbshed desk CHECK --help` lists the flags of one.\n";
}

}  // namespace curbshed::cli
