// The constructor is closed: only a maker that names the unit makes a length.
// error: protected|private|no matching function
#include "curbshed/base/quantity.hpp"

using namespace curbshed::base;

#ifdef MUST_FAIL
Length wall_height(double v) { return Length(v); }
#else
Length wall_height(double v) { return Length::metres(v); }
#endif
