// Small pictures for a page.
#pragma once

#include "curbshed/terrain/grid.hpp"

#include <string>

namespace curbshed::geodata {

/// The bytes of a PNG of grey values, 0 black to 255 white. Same cells, same bytes. The grid is not empty.
std::string png_of(const terrain::Grid<std::uint8_t>& grey);

}  // namespace curbshed::geodata
