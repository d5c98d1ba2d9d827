// A whole number is no length either.
// error: could not convert .* from .*int.* to .*Length
#include "curbshed/base/quantity.hpp"

using namespace curbshed::base;

#ifdef MUST_FAIL
Length wall_height() { return 15; }
#else
Length wall_height() { return Length::centimetres(15); }
#endif
