// Whose work is in the program, and on what terms.
#pragma once

#include <string>

namespace curbshed::cli {

/// What `curbshed licences` prints: each library with its terms and notices, then the texts of the terms.
std::string licences_text();

/// The same as docs/third-party.md.
std::string licences_page();

}  // namespace curbshed::cli
