// docs/study-file.md, made from the key table.
#pragma once

#include <string>

namespace curbshed::study {

/// The whole page as Markdown. A test compares it with the committed file.
std::string study_file_doc();

}  // namespace curbshed::study
