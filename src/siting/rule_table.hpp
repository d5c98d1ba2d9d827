// The built-in rules as they are written here, before they are made a set.
#pragma once

#include "curbshed/siting/rules.hpp"

namespace curbshed::siting {

struct BuiltInRule {
  RuleKind kind;
  std::optional<double> look_at, limit;  ///< in the kind's unit
  std::string_view source;
  std::string_view note;
};
/// In the order of RuleId.
const std::vector<BuiltInRule>& built_in_rules();

}  // namespace curbshed::siting
