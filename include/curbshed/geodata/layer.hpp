// Reads points, lines and polygons with their attributes.
#pragma once

#include "curbshed/base/notes.hpp"
#include "curbshed/base/table.hpp"
#include "curbshed/geodata/projection.hpp"

#include <optional>
#include <string>
#include <vector>

namespace curbshed::geodata {

struct LayerSource {
  std::string file = {};      ///< anything GDAL opens, /vsi… and PostGIS included
  std::string layer = {};     ///< "" = the only layer
  std::string where = {};     ///< attribute filter in SQL; "" = all
  std::string id_field = {};  ///< field that names the features; "" = the file's own feature number
  std::string x_field = {};   ///< with y_field: points from two columns of a table (CSV), in units of `crs`
  std::string y_field = {};
  std::string crs =
      {};  ///< overrides the file's; "" = the file's, for tables with x_field the elevation model's
  /// Features that do not meet this box (metres) are left out without a word; absent = all are kept.
  std::optional<base::Box> clip = {};
};

struct SetAside {
  std::string id;
  std::string reason;      ///< a sentence without its full stop
  base::Shape shape = {};  ///< where it could be read
};

struct LayerData {
  base::MapLayer layer;             ///< metres, in the elevation model's system; blank texts are absent
  std::vector<SetAside> set_aside;  ///< in file order
  base::Notes notes;                ///< FeatureSetAside, DatumShiftUnknown
  std::int64_t outside = 0;         ///< features that `clip` left out
  std::string crs_name;             ///< the layer's own
  bool converted = false;           ///< brought from another system
};

/// All features that pass the filter, in the file's order, several parts kept as parts, heights and measures
/// dropped, curves as short straight pieces. `kind`: what is wanted (None = what the first usable feature
/// is); another kind, an empty or invalid shape, coordinates that are not finite or lie more than 100 km from
/// `ground_box` are set aside with a reason. An empty `ground_box` is not looked at; else a layer none of
/// whose features meets it is an InputError. Dates become ISO 8601 text, true/false 1 and 0; columns of bytes
/// are left out. InputErrors: no such file, not a map file, no such layer (lists those that exist), several
/// layers and none named, a filter that does not work, an id, x or y field that does not exist (lists those
/// that do), no coordinate system, no feature at all. With `clip` the layer may come back empty, as long as
/// some feature meets `ground_box`. May be called by several threads at once.
LayerData read_layer(const LayerSource& source, const Projection& projection,
                     base::ShapeKind kind = base::ShapeKind::None, const base::Box& ground_box = {});

/// Rows of a table without looking at shapes or coordinates (a CSV of places in words): attributes as in
/// read_layer, no shapes. x_field, y_field and crs are not looked at. InputErrors: as for read_layer.
LayerData read_table(const LayerSource& source);

}  // namespace curbshed::geodata
