// GEOS objects that free themselves. The C interface only.
#pragma once

#include "curbshed/base/error.hpp"

#include <memory>
#include <string>

#include <geos_c.h>

namespace curbshed::shapes::detail {

/// One use of the library: its handle and what it last complained about.
class Geos {
 public:
  Geos() : handle_(GEOS_init_r()) {
    base::ensure(handle_ != nullptr, "GEOS starts");
    GEOSContext_setErrorMessageHandler_r(handle_, &Geos::keep, &message_);
  }
  ~Geos() { GEOS_finish_r(handle_); }
  Geos(const Geos&) = delete;
  Geos& operator=(const Geos&) = delete;

  GEOSContextHandle_t handle() const { return handle_; }

  [[noreturn]] void fail() const { throw base::BugError("GEOS: " + message_); }

 private:
  static void keep(const char* message, void* where) { *static_cast<std::string*>(where) = message; }

  GEOSContextHandle_t handle_ = nullptr;
  std::string message_;
};

class FreeGeometry {
 public:
  explicit FreeGeometry(const Geos* geos = nullptr) : geos_(geos) {}
  void operator()(GEOSGeometry* geometry) const { GEOSGeom_destroy_r(geos_->handle(), geometry); }

 private:
  const Geos* geos_;
};

using Geometry = std::unique_ptr<GEOSGeometry, FreeGeometry>;

/// Takes what a GEOS function returned; throws when that is nothing.
inline Geometry taken(const Geos& geos, GEOSGeometry* geometry) {
  if (geometry == nullptr) geos.fail();
  return {geometry, FreeGeometry(&geos)};
}

}  // namespace curbshed::shapes::detail
