// Layers of what stands around, for the rules for places.
#pragma once

#include "curbshed/cli/site_places.hpp"
#include "curbshed/study/surroundings.hpp"

#include <string_view>

namespace curbshed::cli {

/// The study names a file for this layer.
bool layer_given(const study::Settings& settings, std::string_view part);

/// Adds the layer's features by kind and what is now known. A feature without a usable place, size or kind is
/// set aside; a buried line of an unknown kind counts as another line.
void add_things(const study::ThingLayer& kind, StudyLayer& layer, SitePlaces& places,
                study::Surroundings& out);

}  // namespace curbshed::cli
