// A flow is no volume until it has run for a time.
// error: could not convert|cannot convert
#include "curbshed/base/quantity.hpp"

using namespace curbshed::base;

#ifdef MUST_FAIL
double take(Volume v) { return v.in_litres(); }
double run(Flow q, Duration) { return take(q); }
#else
double take(Volume v) { return v.in_litres(); }
double run(Flow q, Duration t) { return take(q * t); }
#endif
