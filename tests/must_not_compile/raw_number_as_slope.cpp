// A slope of 2: per cent or fraction? The maker says which.
// error: could not convert .* from .*double.* to .*Slope
#include "curbshed/base/quantity.hpp"

using namespace curbshed::base;

#ifdef MUST_FAIL
Slope grade() { return 2.0; }
#else
Slope grade() { return Slope::percent(2.0); }
#endif
