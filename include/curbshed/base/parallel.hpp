// The one way to use several threads.
#pragma once

#include <cstdint>
#include <functional>
#include <string>

namespace curbshed::base {

/// Work limits of a run. Results never depend on them.
struct Workers {
  int threads = 1;  ///< 1 to 256
};

/// Calls body(begin, end) over [0, n) cut into `stripes` equal pieces (the cut depends on n and stripes only,
/// never on threads). An exception of any piece is thrown again here. stripes >= 1.
void parallel_stripes(std::int64_t n, std::int64_t stripes, Workers workers,
                      const std::function<void(std::int64_t begin, std::int64_t end)>& body);

/// Version of oneTBB, "2021.8"; or "std::thread" in the build for thread checks.
std::string thread_library_version();

}  // namespace curbshed::base
