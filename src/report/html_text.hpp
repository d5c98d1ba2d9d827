// Text and numbers inside a page.
#pragma once

#include <string>
#include <string_view>

namespace curbshed::report {

/// & < > " as entities (attributes stand between double quotes); letters that no page may hold (control characters) as blanks.
std::string escaped(std::string_view text);
/// Two digits after the point, without zeros at the end: "12.5", "-3".
std::string short_number(double value);

}  // namespace curbshed::report
