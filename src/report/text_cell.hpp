// A cell that is empty where there is nothing to say.
#pragma once

#include "curbshed/base/table.hpp"

#include <string>
#include <utility>

namespace curbshed::report {

inline base::Cell text(std::string value) {
  base::Cell cell;
  if (!value.empty()) {
    cell.emplace<std::string>(std::move(value));
  }
  return cell;
}

}  // namespace curbshed::report
