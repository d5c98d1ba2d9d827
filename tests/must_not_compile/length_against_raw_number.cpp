// A length is compared with a length.
// error: no match for .operator<
#include "curbshed/base/quantity.hpp"

using namespace curbshed::base;

#ifdef MUST_FAIL
bool shallow(Length d) { return d < 0.15; }
#else
bool shallow(Length d) { return d < Length::metres(0.15); }
#endif
