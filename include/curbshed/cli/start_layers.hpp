// What `curbshed start` finds in the files it is given: layers, systems, attributes under our names.
#pragma once

#include "curbshed/geodata/layer.hpp"
#include "curbshed/study/settings.hpp"

#include <string>
#include <utility>
#include <vector>

namespace curbshed::cli {

/// One file that the user names.
struct StartFile {
  std::string part;     ///< "street.centrelines": which of the study's layers it is to be
  std::string path;     ///< as it can be opened from here
  std::string written;  ///< as the study will name it
  std::string layer;    ///< "" = choose
};

/// A layer as it goes into the study, and why so.
struct StartLayer {
  std::string part;
  study::LayerSource source;           ///< `file` as written in the study
  geodata::LayerData data;             ///< features at the place, in metres
  std::vector<std::string> found;      ///< sentences: layer chosen, system, attributes and their units
  std::vector<std::string> questions;  ///< what only the user can answer
};

/// Chooses the layer of the wanted shape (by its name where several have it), maps its fields to our
/// attributes by their names, finds the unit of numbers (from the field's name, else from the values) and
/// translates classes of streets. A field whose unit cannot be told is not mapped but asked about.
/// InputErrors: those of geodata; no layer of this shape; several and none that its name tells (lists them).
StartLayer find_layer(const StartFile& file, const geodata::Projection& projection, const base::Box& ground,
                      const std::optional<base::Box>& clip);

/// The shape of the only sort that the file holds; None when it holds several or none.
base::ShapeKind sort_of_file(const std::string& path);

/// "m" or "ft" for widths of streets in a field of this name; "" when neither name nor values tell, with the
/// reason in `second`. Values: a middle width over 25 is in feet, one under 12 in metres.
std::pair<std::string, std::string> width_unit(const std::string& field, std::vector<double> widths);

/// A word of a street map → alley, residential, collector, arterial, cul_de_sac; "-" for ways without cars
/// (footways, tracks, steps); "" when it is not known.
std::string street_class_of(const std::string& word);

}  // namespace curbshed::cli
