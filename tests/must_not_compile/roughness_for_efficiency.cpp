// Two shares without a unit are still two kinds of thing.
// error: could not convert|cannot convert
#include "curbshed/base/quantity.hpp"

using namespace curbshed::base;

#ifdef MUST_FAIL
double take(Efficiency e) { return e.value(); }
double run() { return take(Roughness::manning(0.4)); }
#else
double take(Efficiency e) { return e.value(); }
double run() { return take(Efficiency::of(0.4)); }
#endif
