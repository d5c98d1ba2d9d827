// Values of a study that are each in range but cannot stand together.
#pragma once

#include "curbshed/study/settings.hpp"

namespace curbshed::study {

/// InputError that names part, key and what would stand together.
void check_together(const Settings& settings);

}  // namespace curbshed::study
