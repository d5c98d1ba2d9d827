// docs/rules.md, made from the table.
#pragma once

#include <string>

namespace curbshed::siting {

/// The whole page, Markdown.
std::string rules_doc();

}  // namespace curbshed::siting
