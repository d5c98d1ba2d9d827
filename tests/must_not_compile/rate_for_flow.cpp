// A rain intensity is no flow until it falls on an area.
// error: could not convert|cannot convert
#include "curbshed/base/quantity.hpp"

using namespace curbshed::base;

#ifdef MUST_FAIL
double take(Flow q) { return q.in_litres_per_second(); }
double run(Rate i, Area) { return take(i); }
#else
double take(Flow q) { return q.in_litres_per_second(); }
double run(Rate i, Area a) { return take(a * i); }
#endif
