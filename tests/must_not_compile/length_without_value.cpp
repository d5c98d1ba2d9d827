// No quantity starts without a value.
// error: no matching function
#include "curbshed/base/quantity.hpp"

using namespace curbshed::base;

#ifdef MUST_FAIL
Length start() {
  Length d;
  return d;
}
#else
Length start() {
  Length d = Length::metres(0.0);
  return d;
}
#endif
