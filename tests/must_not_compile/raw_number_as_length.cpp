// A raw number is no length: its unit must be named.
// error: could not convert .* from .*double.* to .*Length
#include "curbshed/base/quantity.hpp"

using namespace curbshed::base;

#ifdef MUST_FAIL
Length wall_height() { return 0.15; }
#else
Length wall_height() { return Length::metres(0.15); }
#endif
