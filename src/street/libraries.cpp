#include "curbshed/street/libraries.hpp"

#include <boost/version.hpp>

namespace curbshed::street {

std::string graph_library_version() {
  return std::to_string(BOOST_VERSION / 100000) + "." + std::to_string(BOOST_VERSION / 100 % 1000) + "." +
         std::to_string(BOOST_VERSION % 100);
}

}  // namespace curbshed::street
