#include "curbshed/geodata/layer.hpp"

#include "curbshed/base/layer_fields.hpp"

#include "datum.hpp"
#include "gdal_support.hpp"
#include "shapes_from_ogr.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include <cpl_string.h>
#include <fmt/format.h>
#include <ogrsf_frmts.h>

namespace curbshed::geodata {
namespace {

using base::InputError;
using base::MapLayer;
using base::ShapeKind;

constexpr double kFar_m = 100'000.0;

base::Where at(const LayerSource& source) {
  return {.file = source.file, .layer = source.layer, .feature = {}};
}

std::string joined(const std::vector<std::string>& words) {
  std::string list;
  for (const std::string& word : words) {
    list += list.empty() ? "" : ", ";
    list += word;
  }
  return list;
}

OGRLayer& pick_layer(GDALDataset& dataset, const LayerSource& source) {
  std::vector<std::string> names;
  for (int i = 0; i < dataset.GetLayerCount(); ++i) {
    names.emplace_back(dataset.GetLayer(i)->GetName());
  }
  if (source.layer.empty()) {
    if (names.size() == 1) {
      return *dataset.GetLayer(0);
    }
    throw InputError(at(source), fmt::format("the file has {} layers and none is named", names.size()),
                     names.empty() ? "" : fmt::format("the layers {}", joined(names)),
                     "name one of them in the study");
  }
  OGRLayer* layer = dataset.GetLayerByName(source.layer.c_str());
  if (layer == nullptr) {
    throw InputError(at(source), fmt::format("there is no layer \"{}\"", source.layer),
                     names.empty() ? "this file has no layers" : fmt::format("the layers {}", joined(names)),
                     "name one of them in the study");
  }
  return *layer;
}

/// How the layer's coordinates become metres of the run.
struct Way {
  std::unique_ptr<OGRCoordinateTransformation> transform;  ///< null = same system
  std::string name;
  bool shift_unknown = false;
};

Way way_to(OGRLayer& layer, const LayerSource& source, const Projection& projection) {
  OGRSpatialReference own;
  if (!source.crs.empty()) {
    own = detail::spatial_reference(source.crs);
    if (own.IsEmpty()) {
      throw InputError(at(source), fmt::format("\"{}\" is not a coordinate system", source.crs),
                       "a code such as EPSG:32612, or WKT", "correct crs in the study");
    }
  } else if (layer.GetSpatialRef() != nullptr && !layer.GetSpatialRef()->IsEmpty()) {
    own = *layer.GetSpatialRef();
  } else if (!source.x_field.empty()) {
    own = detail::spatial_reference(projection.wkt);
  }
  const OGRSpatialReference flat = detail::horizontal(own);
  if (!flat.IsProjected() && !flat.IsGeographic()) {
    throw InputError(at(source), "the layer does not say its coordinate system", {},
                     "ask its maker, then write crs = \"EPSG:…\" beside the layer in the study, or into the "
                     "file (ogr2ogr -a_srs)");
  }
  Way way;
  way.name = detail::name_of(flat);
  const OGRSpatialReference target = detail::spatial_reference(projection.wkt);
  const char* const loose[] = {"IGNORE_DATA_AXIS_TO_SRS_AXIS_MAPPING=YES", "CRITERION=EQUIVALENT", nullptr};
  if (flat.IsSame(&target, loose) != 0) {
    return way;
  }
  way.transform.reset(OGRCreateCoordinateTransformation(&flat, &target));
  if (!way.transform) {
    throw InputError(at(source), fmt::format("there is no way from {} to {}", way.name, projection.name), {},
                     "save the layer in the elevation model's system");
  }
  way.shift_unknown = detail::datum_shift_unknown(flat, target);
  return way;
}

/// Columns of ours and the file's field behind each.
struct Fields {
  std::vector<base::Column> columns;
  std::vector<int> field;
  int id = -1;
  int x = -1;
  int y = -1;
};

int find_field(OGRFeatureDefn& definition, const LayerSource& source, const std::string& name,
               std::string_view role) {
  if (name.empty()) {
    return -1;
  }
  const int found = definition.GetFieldIndex(name.c_str());
  if (found >= 0) {
    return found;
  }
  std::vector<std::string> names;
  for (int i = 0; i < definition.GetFieldCount(); ++i) {
    names.emplace_back(definition.GetFieldDefn(i)->GetNameRef());
  }
  throw InputError(at(source), fmt::format("there is no field \"{}\" for {}", name, role),
                   names.empty() ? "this layer has no fields" : fmt::format("the fields {}", joined(names)),
                   "name one of them in the study");
}

Fields fields_of(OGRFeatureDefn& definition, const LayerSource& source) {
  Fields fields;
  for (int i = 0; i < definition.GetFieldCount(); ++i) {
    const OGRFieldDefn& field = *definition.GetFieldDefn(i);
    base::ColumnType type = base::ColumnType::Text;
    switch (field.GetType()) {
      case OFTInteger:
      case OFTInteger64:
        type = base::ColumnType::Integer;
        break;
      case OFTReal:
        type = base::ColumnType::Real;
        break;
      case OFTBinary:
        continue;
      default:
        break;
    }
    base::Column column{
        .name = field.GetNameRef(), .title = field.GetAlternativeNameRef(), .unit = {}, .type = type};
    const bool repeated = std::any_of(fields.columns.begin(), fields.columns.end(),
                                      [&](const base::Column& other) { return other.name == column.name; });
    if (column.name.empty() || repeated) {
      column.name = fmt::format("{}_{}", column.name.empty() ? "field" : column.name, i + 1);
    }
    fields.columns.push_back(std::move(column));
    fields.field.push_back(i);
  }
  fields.id = find_field(definition, source, source.id_field, "the id");
  fields.x = find_field(definition, source, source.x_field, "the points' x");
  fields.y = find_field(definition, source, source.y_field, "the points' y");
  return fields;
}

/// Valid UTF-8 whatever the file holds (old files without a stated encoding are mostly Latin-1).
std::string clean_text(const char* text) {
  if (text == nullptr) {
    return {};
  }
  if (CPLIsUTF8(text, -1) != 0) {
    return text;
  }
  char* recoded = CPLRecode(text, CPL_ENC_ISO8859_1, CPL_ENC_UTF8);
  std::string out = recoded == nullptr ? "" : recoded;
  CPLFree(recoded);
  return out;
}

std::string date_text(const OGRFeature& feature, int field, OGRFieldType type) {
  int year = 0;
  int month = 0;
  int day = 0;
  int hour = 0;
  int minute = 0;
  float second = 0.0F;
  int zone = 0;
  feature.GetFieldAsDateTime(field, &year, &month, &day, &hour, &minute, &second, &zone);
  const std::string date = fmt::format("{:04d}-{:02d}-{:02d}", year, month, day);
  const std::string time = fmt::format("{:02d}:{:02d}:{:02d}", hour, minute, static_cast<int>(second));
  if (type == OFTDate) {
    return date;
  }
  if (type == OFTTime) {
    return time;
  }
  std::string offset;
  if (zone >= 100 / 2) {  // GDAL: 100 = UTC, each step a quarter of an hour; 0 unknown, 1 local
    const int minutes = (zone - 100) * 15;
    offset = minutes == 0 ? "Z"
                          : fmt::format("{}{:02d}:{:02d}", minutes < 0 ? '-' : '+', std::abs(minutes) / 60,
                                        std::abs(minutes) % 60);
  }
  return date + "T" + time + offset;
}

base::Cell cell_of(const OGRFeature& feature, int field, base::ColumnType type) {
  if (!feature.IsFieldSetAndNotNull(field)) {
    return std::monostate{};
  }
  if (type == base::ColumnType::Integer) {
    return static_cast<std::int64_t>(feature.GetFieldAsInteger64(field));
  }
  if (type == base::ColumnType::Real) {
    const double value = feature.GetFieldAsDouble(field);
    return std::isfinite(value) ? base::Cell(value) : base::Cell(std::monostate{});
  }
  const OGRFieldType own = feature.GetFieldDefnRef(field)->GetType();
  if (own == OFTDate || own == OFTTime || own == OFTDateTime) {
    return date_text(feature, field, own);
  }
  std::string text = clean_text(feature.GetFieldAsString(field));
  return text.find_first_not_of(" \t\r\n") == std::string::npos ? base::Cell(std::monostate{})
                                                                : base::Cell(std::move(text));
}

/// A point from two columns of text or numbers.
std::string point_from_fields(const OGRFeature& feature, const Fields& fields,
                              std::unique_ptr<OGRGeometry>& geometry) {
  double xy[2] = {0.0, 0.0};
  const int columns[2] = {fields.x, fields.y};
  for (int i = 0; i < 2; ++i) {
    const std::string text = clean_text(feature.GetFieldAsString(columns[i]));
    const std::optional<double> number = base::parse_number(text);
    if (!number) {
      return fmt::format("field \"{}\" reads \"{}\": a coordinate is one number with a point as decimal sign",
                         clean_text(feature.GetFieldDefnRef(columns[i])->GetNameRef()), text);
    }
    xy[i] = *number;
  }
  geometry = std::make_unique<OGRPoint>(xy[0], xy[1]);
  return {};
}

double distance_from(const base::Box& box, const base::Box& other) {
  const double dx = std::max({box.min_x_m - other.max_x_m, other.min_x_m - box.max_x_m, 0.0});
  const double dy = std::max({box.min_y_m - other.max_y_m, other.min_y_m - box.max_y_m, 0.0});
  return std::hypot(dx, dy);
}

std::string id_of(const OGRFeature& feature, const Fields& fields) {
  if (fields.id >= 0 && feature.IsFieldSetAndNotNull(fields.id)) {
    std::string id = clean_text(feature.GetFieldAsString(fields.id));
    if (!id.empty()) {
      return id;
    }
  }
  return fmt::format("{}", feature.GetFID());
}

std::vector<base::Cell> cells_of(const OGRFeature& feature, const Fields& fields) {
  std::vector<base::Cell> row;
  row.reserve(fields.columns.size());
  for (std::size_t c = 0; c < fields.columns.size(); ++c) {
    row.push_back(cell_of(feature, fields.field[c], fields.columns[c].type));
  }
  return row;
}

class Reader {
 public:
  Reader(const LayerSource& source, const Projection& projection, const base::Box& ground_box, Fields fields,
         const Way& way, ShapeKind kind)
      : source_(source),
        projection_(projection),
        ground_box_(ground_box),
        fields_(std::move(fields)),
        way_(way) {
    data_.layer.kind = kind;
    data_.layer.table.columns = fields_.columns;
  }

  void take(const OGRFeature& feature) {
    const std::string id = id_of(feature, fields_);
    detail::ShapeOrReason made = shape_of(feature);
    if (made.reason.empty()) {
      const base::Box own = base::box_of(made.shape);
      seen_.add({own.min_x_m, own.min_y_m});
      seen_.add({own.max_x_m, own.max_y_m});
      meets_ground_ = meets_ground_ || ground_box_.empty() || distance_from(ground_box_, own) <= 0.0;
      if (source_.clip && !base::meets(*source_.clip, made.shape)) {
        ++clipped_;
        return;
      }
    }
    if (!made.reason.empty()) {
      data_.notes.add(base::NoteId::FeatureSetAside, 0.0, id);
      data_.set_aside.push_back({.id = id, .reason = std::move(made.reason)});
      return;
    }
    data_.layer.kind = made.shape.kind;
    data_.layer.table.rows.push_back(cells_of(feature, fields_));
    data_.layer.shapes.push_back(std::move(made.shape));
    data_.layer.ids.push_back(id);
  }

  LayerData finish() && {
    if ((!data_.layer.shapes.empty() || clipped_ > 0) && !meets_ground_) {
      throw_beside();
    }
    return std::move(data_);
  }
  /// No feature was kept or set aside.
  bool nothing() const { return data_.layer.shapes.empty() && data_.set_aside.empty(); }

 private:
  detail::ShapeOrReason shape_of(const OGRFeature& feature) const {
    std::unique_ptr<OGRGeometry> geometry;
    if (fields_.x >= 0) {
      std::string reason = point_from_fields(feature, fields_, geometry);
      if (!reason.empty()) {
        return {.shape = {}, .reason = std::move(reason)};
      }
    } else if (const OGRGeometry* own = feature.GetGeometryRef()) {
      geometry.reset(own->hasCurveGeometry() ? own->getLinearGeometry() : own->clone());
    }
    if (!geometry || geometry->IsEmpty()) {
      return {.shape = {}, .reason = "the feature has no shape"};
    }
    geometry->flattenTo2D();
    const ShapeKind kind = detail::kind_of(*geometry);
    const ShapeKind wanted = data_.layer.kind;
    if (kind == ShapeKind::None || (wanted != ShapeKind::None && kind != wanted)) {
      return {.shape = {},
              .reason = fmt::format("the feature is {}{}", detail::kind_words(kind),
                                    wanted == ShapeKind::None ? "" : ", not " + detail::kind_words(wanted))};
    }
    if (!detail::all_finite(*geometry)) {
      return {.shape = {}, .reason = "a coordinate is not a finite number"};
    }
    if (way_.transform &&
        (geometry->transform(way_.transform.get()) != OGRERR_NONE || !detail::all_finite(*geometry))) {
      return {.shape = {},
              .reason = fmt::format("the coordinates cannot be brought from {} to {}", way_.name,
                                    projection_.name)};
    }
    detail::ShapeOrReason made = detail::from_ogr(*geometry, projection_.metres_per_unit);
    if (made.reason.empty() && !ground_box_.empty()) {
      const double off_m = distance_from(ground_box_, base::box_of(made.shape));
      if (off_m > kFar_m && !source_.clip) {
        made.reason = fmt::format("the feature lies {:.0f} km from the elevation model", off_m / 1000.0);
      }
    }
    return made;
  }

  [[noreturn]] void throw_beside() const {
    const auto words = [](const base::Box& b) {
      return fmt::format("x {:.0f} to {:.0f} m, y {:.0f} to {:.0f} m", b.min_x_m, b.max_x_m, b.min_y_m,
                         b.max_y_m);
    };
    throw InputError(
        at(source_),
        fmt::format("none of its {} features lies on the elevation model (the layer: {})",
                    clipped_ + static_cast<std::int64_t>(data_.layer.shapes.size()), words(seen_)),
        fmt::format("features on the elevation model ({})", words(ground_box_)),
        "check the coordinate systems of both files, or take another part of the map");
  }

  const LayerSource& source_;
  const Projection& projection_;
  const base::Box& ground_box_;
  Fields fields_;
  const Way& way_;
  LayerData data_;
  base::Box seen_;
  bool meets_ground_ = false;
  std::int64_t clipped_ = 0;
};

/// A text table must not guess types: "007" stays "007".
detail::DatasetPtr open_layers(const LayerSource& source) {
  const char* const options[] = {"AUTODETECT_TYPE=NO", "EMPTY_STRING_AS_NULL=YES", nullptr};
  const bool csv = source.file.size() > 4 && EQUAL(source.file.c_str() + source.file.size() - 4, ".csv");
  return detail::open_file(source.file, GDAL_OF_VECTOR, csv ? options : nullptr,
                           "is not a map file that can be read",
                           "give points, lines or polygons, for example a GeoPackage or GeoJSON");
}

void set_filter(OGRLayer& layer, const LayerSource& source, const detail::GdalMessages& messages) {
  if (source.where.empty()) {
    return;
  }
  if (layer.SetAttributeFilter(source.where.c_str()) != OGRERR_NONE || messages.failed()) {
    throw InputError(
        at(source), fmt::format("the filter {} does not work: {}", source.where, messages.first_failure()),
        "a condition in SQL on the layer's fields, such as kind = 'curb'", "correct it in the study");
  }
}

/// A large file is asked only for what lies near the clip box: the box in the layer's own coordinates.
void set_clip(OGRLayer& layer, const LayerSource& source, const Projection& projection, const Way& way) {
  if (!source.clip || !source.x_field.empty()) {
    return;
  }
  const double unit = projection.metres_per_unit;
  double box[4] = {source.clip->min_x_m / unit, source.clip->min_y_m / unit, source.clip->max_x_m / unit,
                   source.clip->max_y_m / unit};
  if (way.transform) {
    const std::unique_ptr<OGRCoordinateTransformation> back(way.transform->GetInverse());
    double own[4] = {0.0, 0.0, 0.0, 0.0};
    if (!back || back->TransformBounds(box[0], box[1], box[2], box[3], &own[0], &own[1], &own[2], &own[3],
                                       21) == FALSE) {
      return;
    }
    std::copy(std::begin(own), std::end(own), std::begin(box));
  }
  // Wider than needed: what is kept is decided in the run's own coordinates.
  const double more = 0.01 * std::max(box[2] - box[0], box[3] - box[1]);
  layer.SetSpatialFilterRect(box[0] - more, box[1] - more, box[2] + more, box[3] + more);
}

/// Calls `take` for each feature; how many there were. Throws when reading fails.
template <class Take>
std::int64_t read_features(OGRLayer& layer, const LayerSource& source, detail::GdalMessages& messages,
                           Take take) {
  layer.ResetReading();
  std::int64_t features = 0;
  for (;;) {
    messages.forget();
    const OGRFeatureUniquePtr feature(layer.GetNextFeature());
    if (!feature) {
      break;
    }
    ++features;
    take(*feature);
  }
  messages.throw_if_failed(source.file, "the features cannot be read",
                           "check the filter in the study, or copy the file again");
  return features;
}

void require_features(std::int64_t features, const LayerSource& source) {
  if (features == 0) {
    throw InputError(
        at(source), source.where.empty() ? "the layer has no feature" : "no feature passes the filter",
        "at least one feature", "check the layer and its filter, or leave the layer out of the study");
  }
}

std::string name_of_source(const LayerSource& source) {
  return source.layer.empty() ? source.file : fmt::format("{}:{}", source.file, source.layer);
}

}  // namespace

LayerData read_layer(const LayerSource& source, const Projection& projection, ShapeKind kind,
                     const base::Box& ground_box) {
  base::ensure(source.x_field.empty() == source.y_field.empty(),
               "read_layer: x_field and y_field go together");
  const detail::DatasetPtr dataset = open_layers(source);
  OGRLayer& layer = pick_layer(*dataset, source);
  detail::GdalMessages messages;
  set_filter(layer, source, messages);
  const Way way = way_to(layer, source, projection);
  const auto new_reader = [&] {
    return Reader(source, projection, ground_box, fields_of(*layer.GetLayerDefn(), source), way, kind);
  };
  const std::int64_t all = source.clip ? layer.GetFeatureCount(TRUE) : 0;
  set_clip(layer, source, projection, way);
  Reader reader = new_reader();
  std::int64_t features =
      read_features(layer, source, messages, [&](const OGRFeature& feature) { reader.take(feature); });
  if (source.clip && reader.nothing()) {
    // Is there truly nothing at the place, or is the layer somewhere else?
    layer.SetSpatialFilter(nullptr);
    Reader whole = new_reader();
    features =
        read_features(layer, source, messages, [&](const OGRFeature& feature) { whole.take(feature); });
    static_cast<void>(std::move(whole).finish());
  }
  require_features(features, source);
  LayerData data = std::move(reader).finish();
  const auto used = static_cast<std::int64_t>(data.layer.shapes.size() + data.set_aside.size());
  data.outside = std::max<std::int64_t>(0, all - used);
  data.layer.table.name = layer.GetName();
  data.layer.source = name_of_source(source);
  data.crs_name = way.name;
  data.converted = way.transform != nullptr;
  if (way.shift_unknown) {
    data.notes.add(base::NoteId::DatumShiftUnknown, 0.0, data.layer.source);
  }
  return data;
}

LayerData read_table(const LayerSource& source) {
  LayerSource plain = source;
  plain.x_field.clear();
  plain.y_field.clear();
  const detail::DatasetPtr dataset = open_layers(plain);
  OGRLayer& layer = pick_layer(*dataset, plain);
  detail::GdalMessages messages;
  set_filter(layer, plain, messages);
  const Fields fields = fields_of(*layer.GetLayerDefn(), plain);
  LayerData data;
  data.layer.table.columns = fields.columns;
  const std::int64_t features = read_features(layer, plain, messages, [&](const OGRFeature& feature) {
    data.layer.table.rows.push_back(cells_of(feature, fields));
    data.layer.shapes.emplace_back();
    data.layer.ids.push_back(id_of(feature, fields));
  });
  require_features(features, plain);
  data.layer.table.name = layer.GetName();
  data.layer.source = name_of_source(plain);
  return data;
}

}  // namespace curbshed::geodata
