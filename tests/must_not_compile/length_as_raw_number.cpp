// A length gives its number only to a reader that names the unit.
// error: cannot convert .*Length.* to .*double
#include "curbshed/base/quantity.hpp"

using namespace curbshed::base;

#ifdef MUST_FAIL
double depth_m(Length d) { return d; }
#else
double depth_m(Length d) { return d.in_metres(); }
#endif
