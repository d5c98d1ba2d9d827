// A length and an area have no sum.
// error: no match for .operator\+
#include "curbshed/base/quantity.hpp"

using namespace curbshed::base;

#ifdef MUST_FAIL
Length sum(Length a, Area b) { return a + b; }
#else
Length sum(Length a, Length b) { return a + b; }
#endif
