// Different kinds are never equal.
// error: no match for .operator==
#include "curbshed/base/quantity.hpp"

using namespace curbshed::base;

#ifdef MUST_FAIL
bool same(Volume a, Flow b) { return a == b; }
#else
bool same(Volume a, Volume b) { return a == b; }
#endif
