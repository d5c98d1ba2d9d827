#include "curbshed/cli/study_layer.hpp"

#include "curbshed/base/layer_fields.hpp"
#include "curbshed/base/names.hpp"
#include "curbshed/geodata/coordinates.hpp"
#include "curbshed/report/checksum.hpp"

#include <algorithm>
#include <cctype>
#include <filesystem>

#include <fmt/format.h>

namespace curbshed::cli {
namespace {

namespace fs = std::filesystem;
using base::InputError;
using base::ShapeKind;

const study::LayerKey& layer_key(std::string_view part) {
  for (const study::LayerKey& key : study::study_layers()) {
    if (key.part == part) {
      return key;
    }
  }
  throw base::BugError("a layer that the key table does not have");
}

ShapeKind kind_of(std::string_view shape) {
  return shape == "points"     ? ShapeKind::Point
         : shape == "lines"    ? ShapeKind::Line
         : shape == "polygons" ? ShapeKind::Polygon
                               : ShapeKind::None;  // any
}

/// Rows of a CSV file may say where they are; its points come without shapes.
bool has_points(std::string_view shape) { return shape.rfind("points", 0) == 0; }

bool ends_like_csv(const std::string& file) {
  std::string ending = fs::path(file).extension().string();
  std::transform(ending.begin(), ending.end(), ending.begin(),
                 [](char c) { return static_cast<char>(std::tolower(static_cast<unsigned char>(c))); });
  return ending == ".csv";
}

/// "PG:…", "https://…": names of GDAL that are no paths.
bool has_scheme(const std::string& file) {
  const std::size_t colon = file.find(':');
  return colon != std::string::npos && colon >= 2 &&
         std::all_of(file.begin(), file.begin() + static_cast<std::ptrdiff_t>(colon),
                     [](char c) { return std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '_'; });
}

geodata::LayerSource source_for(const study::Settings& settings, const study::LayerSource& asked,
                                const study::LayerKey& key) {
  geodata::LayerSource source;
  source.file = path_in_study(settings, asked.file);
  source.layer = asked.layer;
  source.where = asked.where;
  source.crs = asked.crs;
  const auto field = [&](const char* name, const char* otherwise) {
    const auto found = asked.fields.find(name);
    return found == asked.fields.end() ? std::string(otherwise) : found->second.name;
  };
  source.id_field = field("id", "");
  if (has_points(key.shape) && !ends_like_csv(asked.file)) {
    source.x_field = field("x", "");
    source.y_field = field("y", "");
  }
  return source;
}

/// Names of rows in the study: where to look for them.
base::Where row_place(const study::Settings& settings, const study::LayerKey& key, std::int64_t line) {
  return {fmt::format("{}:{}", settings.file, line), fmt::format("[[{}]]", key.row_part), ""};
}

std::vector<base::Point> corners_of(const base::Shape& shape) {
  std::vector<base::Point> all = shape.points;
  for (const base::Polyline& line : shape.lines) {
    all.insert(all.end(), line.begin(), line.end());
  }
  for (const base::Polygon& polygon : shape.polygons) {
    for (const base::Polyline& ring : polygon.rings) {
      all.insert(all.end(), ring.begin(), ring.end());
    }
  }
  return all;
}

bool before(const std::vector<base::Point>& a, const std::vector<base::Point>& b) {
  return std::lexicographical_compare(a.begin(), a.end(), b.begin(), b.end(),
                                      [](const base::Point& p, const base::Point& q) {
                                        return p.x_m != q.x_m ? p.x_m < q.x_m : p.y_m < q.y_m;
                                      });
}

template <class T>
void reorder(std::vector<T>& values, const std::vector<std::size_t>& order) {
  std::vector<T> moved;
  moved.reserve(values.size());
  for (const std::size_t i : order) {
    moved.push_back(std::move(values[i]));
  }
  values = std::move(moved);
}

}  // namespace

std::string path_in_study(const study::Settings& settings, const std::string& file) {
  if (settings.folder.empty() || fs::path(file).is_absolute() || has_scheme(file)) {
    return file;
  }
  return (fs::path(settings.folder) / file).string();
}

report::InputFile input_file(const study::Settings& settings, std::string role, const std::string& file,
                             const std::string& layer) {
  report::InputFile input;
  input.role = std::move(role);
  input.layer = layer;
  const std::string path = path_in_study(settings, file);
  std::error_code ignored;
  if (fs::is_regular_file(path, ignored)) {
    const report::FileChecksum sum = report::checksum_of_file(path);
    input.sha256 = sum.sha256;
    input.bytes = sum.bytes;
  }
  // A connection text may hold a password, an absolute path a user's name.
  input.file = has_scheme(file)                                           ? file.substr(0, file.find(':'))
               : fs::path(file).is_absolute() || file.rfind("..", 0) == 0 ? fs::path(file).filename().string()
                                                                          : file;
  return input;
}

std::string worst_first(const std::vector<geodata::SetAside>& list) {
  std::vector<std::pair<std::string, std::int64_t>> reasons;
  for (const geodata::SetAside& one : list) {
    const auto known = std::find_if(reasons.begin(), reasons.end(),
                                    [&](const auto& entry) { return entry.first == one.reason; });
    if (known == reasons.end()) {
      reasons.emplace_back(one.reason, 1);
    } else {
      ++known->second;
    }
  }
  std::stable_sort(reasons.begin(), reasons.end(),
                   [](const auto& a, const auto& b) { return a.second > b.second; });
  std::string text;
  for (std::size_t i = 0; i < std::min<std::size_t>(reasons.size(), 3); ++i) {
    const auto first = std::find_if(list.begin(), list.end(), [&](const geodata::SetAside& one) {
      return one.reason == reasons[i].first;
    });
    text += fmt::format("; {} × {} (first: {})", reasons[i].second, reasons[i].first, first->id);
  }
  return text;
}

StudyLayer::StudyLayer(const study::Settings& settings, std::string_view part,
                       const geodata::Projection& projection, const base::Box& ground, bool by_hand,
                       const std::optional<base::Box>& clip)
    : key_(&layer_key(part)) {
  study::Settings copy = settings;  // the table's accessors want a settings object that may be written to
  source_ = *key_->source(copy);
  geodata::LayerSource source = source_for(settings, source_, *key_);
  source.clip = clip;
  const bool table = key_->shape == "table";
  if (table || (has_points(key_->shape) && ends_like_csv(source_.file))) {
    data_ = geodata::read_table(source);
  }
  if (has_points(key_->shape) && ends_like_csv(source_.file)) {
    data_.crs_name =
        geodata::PlaceReader(source_.crs, projection, {source_.file, std::string(part), "crs"}).crs_name();
  } else if (!table) {
    data_ = geodata::read_layer(source, projection, kind_of(key_->shape), ground);
  }
  features_ = static_cast<std::int64_t>(rows() + data_.set_aside.size());
  if (by_hand && !data_.set_aside.empty()) {
    const geodata::SetAside& bad = data_.set_aside.front();
    throw InputError({source_.file, std::string(part), bad.id}, bad.reason, std::string(key_->shape),
                     "mend or remove this feature");
  }
  check_fields(settings);
  for (std::size_t row = 0; row < rows(); ++row) {
    where_.push_back({source_.file, std::string(key_->part), ""});
  }
  name_and_sort();
  file_ = input_file(settings, std::string(part), source_.file, source_.layer);
  file_.crs = data_.crs_name;
}

StudyLayer::StudyLayer(const study::Settings& settings, std::string_view part,
                       const geodata::Projection& projection, FromStudy)
    : key_(&layer_key(part)) {
  study::Settings copy = settings;
  const std::vector<study::HandFeature> features = key_->source(copy)->rows;
  data_.layer.source = settings.file;
  data_.crs_name = projection.name;
  for (const study::FieldKey& field : key_->fields) {
    data_.layer.table.columns.push_back({std::string(field.name), "", "", base::ColumnType::Text});
  }
  for (const study::HandFeature& feature : features) {
    std::vector<base::Cell> row;
    for (const study::FieldKey& field : key_->fields) {
      const auto found = feature.values.find(std::string(field.name));
      row.push_back(found == feature.values.end() ? base::Cell() : base::Cell(found->second));
    }
    data_.layer.table.rows.push_back(std::move(row));
    data_.layer.shapes.emplace_back();
    data_.layer.ids.push_back(fmt::format("line {}", feature.line));
    where_.push_back(row_place(settings, *key_, feature.line));
  }
  features_ = static_cast<std::int64_t>(rows());
  name_and_sort();
}

StudyLayer StudyLayer::rows_of(const study::Settings& settings, std::string_view part,
                               const geodata::Projection& projection) {
  return {settings, part, projection, FromStudy{}};
}

void StudyLayer::check_fields(const study::Settings& settings) {
  const bool table = has_points(key_->shape) && ends_like_csv(source_.file);
  for (const study::FieldKey& field : key_->fields) {
    const auto mapped = source_.fields.find(std::string(field.name));
    const std::optional<std::size_t> column = column_of(field.name);
    const bool ours = table || (field.name != "x" && field.name != "y");  // geodata has looked at them
    if (mapped != source_.fields.end() && !column && ours) {
      base::field_column(data_.layer, mapped->second.name);  // throws with the list of fields
    }
    const bool unit_needed = field.measure && field.dimension != base::Dimension::Plain &&
                             field.dimension != base::Dimension::Slope;
    if (column && unit_needed && data_.layer.table.columns[*column].type != base::ColumnType::Text &&
        (mapped == source_.fields.end() || mapped->second.unit.empty())) {
      const std::string& name = data_.layer.table.columns[*column].name;
      throw InputError(
          {settings.file, fmt::format("[{}]", key_->part), fmt::format("fields.{}", field.name)},
          fmt::format("the field \"{}\" holds numbers and their unit is not known", name),
          base::units_of(field.dimension),
          fmt::format("write {} = {{ field = \"{}\", unit = \"…\" }} in fields", field.name, name));
    }
  }
}

/// A row of a spreadsheet by its line there, the heading being line 1; else what the file calls it.
std::string StudyLayer::row_name(std::size_t row) const {
  const std::string& id = data_.layer.ids[row];
  const std::optional<double> number = ends_like_csv(source_.file) ? base::parse_number(id) : std::nullopt;
  return number ? fmt::format("line {:.0f}", *number + 1.0) : id;
}

void StudyLayer::name_and_sort() {
  id_column_ = column_of("id");
  std::vector<std::vector<base::Point>> corners;
  std::vector<std::size_t> order;
  for (std::size_t row = 0; row < rows(); ++row) {
    std::string name = id_column_ ? base::text_at(data_.layer, row, *id_column_) : std::string();
    corners.push_back(corners_of(shape(row)));
    named_.push_back(name.empty() ? 0 : 1);
    where_[row].feature = name.empty() ? row_name(row) : name;
    if (name.empty() && !corners.back().empty()) {
      const base::Box box = base::box_of(shape(row));
      name = fmt::format("at {:.1f}, {:.1f} m", 0.5 * (box.min_x_m + box.max_x_m),
                         0.5 * (box.min_y_m + box.max_y_m));
    }
    ids_.push_back(name.empty() ? data_.layer.ids[row] : name);
    order.push_back(row);
  }
  std::vector<std::string> keys;
  for (std::size_t row = 0; row < rows(); ++row) {
    std::string key;
    for (std::size_t column = 0; column < data_.layer.table.columns.size(); ++column) {
      key += base::text_at(data_.layer, row, column) + '\x1f';
    }
    keys.push_back(std::move(key));
  }
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    if (named_[a] != 0 && named_[b] != 0 && ids_[a] != ids_[b]) return base::natural_less(ids_[a], ids_[b]);
    if (named_[a] != named_[b]) return named_[a] > named_[b];
    if (before(corners[a], corners[b]) || before(corners[b], corners[a]))
      return before(corners[a], corners[b]);
    return keys[a] < keys[b];
  });
  reorder(data_.layer.table.rows, order);
  reorder(data_.layer.shapes, order);
  reorder(data_.layer.ids, order);
  reorder(ids_, order);
  reorder(named_, order);
  reorder(where_, order);
  std::stable_sort(data_.set_aside.begin(), data_.set_aside.end(),
                   [](const geodata::SetAside& a, const geodata::SetAside& b) {
                     return a.id != b.id ? base::natural_less(a.id, b.id) : a.reason < b.reason;
                   });
  base::Notes notes;
  const base::Notes::Entry& shift = data_.notes.at(base::NoteId::DatumShiftUnknown);
  if (shift.count > 0) {
    notes.add(base::NoteId::DatumShiftUnknown, shift.worst, shift.first_feature, shift.count);
  }
  for (const geodata::SetAside& one : data_.set_aside) {
    notes.add(base::NoteId::FeatureSetAside, 0.0, fmt::format("{} {}", key_->part, one.id));
  }
  data_.notes = notes;
}

const study::FieldKey& StudyLayer::field_key(std::string_view field) const {
  for (const study::FieldKey& key : key_->fields) {
    if (key.name == field) {
      return key;
    }
  }
  throw base::BugError("a field that the key table does not have");
}

std::optional<std::size_t> StudyLayer::column_of(std::string_view field) const {
  const auto mapped = source_.fields.find(std::string(field));
  return data_.layer.table.column(mapped == source_.fields.end() ? field
                                                                 : std::string_view(mapped->second.name));
}

std::string StudyLayer::text(std::size_t row, std::string_view field) const {
  const std::optional<std::size_t> column = column_of(field_key(field).name);
  if (!column) {
    return {};
  }
  std::string value = base::text_at(data_.layer, row, *column);
  if (field == key_->classed_field) {
    const auto ours = source_.classes.find(value);
    if (ours != source_.classes.end()) {
      value = ours->second;
    }
  }
  return value;
}

std::optional<double> StudyLayer::measure(std::size_t row, std::string_view field) const {
  const study::FieldKey& key = field_key(field);
  const std::optional<std::size_t> column = column_of(field);
  const std::string shown = column ? base::text_at(data_.layer, row, *column) : std::string();
  if (shown.empty()) {
    return std::nullopt;
  }
  const auto mapped = source_.fields.find(std::string(field));
  const std::string unit = mapped == source_.fields.end() ? std::string() : mapped->second.unit;
  const std::string range =
      key.least.empty() ? std::string("a number") : fmt::format("{} to {}", key.least, key.most);
  const std::string fieldname = data_.layer.table.columns[*column].name;
  double value = 0.0;
  if (unit.empty()) {
    try {
      value = base::parse_measure(shown, key.dimension);
    } catch (const InputError& error) {
      throw InputError(where(row), fmt::format("{} = {}", fieldname, error.met()), range, error.next());
    }
  } else {
    const std::optional<double> number = base::parse_number(shown);
    if (!number) {
      throw InputError(where(row), fmt::format("{} = \"{}\" is no number", fieldname, shown), range,
                       "write a number");
    }
    value = *number * base::unit_factor(unit, key.dimension);
  }
  if (!key.least.empty() && !(value >= base::parse_measure(key.least, key.dimension) &&
                              value <= base::parse_measure(key.most, key.dimension))) {
    throw InputError(
        where(row),
        fmt::format("{} = {}{}{} is out of range", fieldname, shown, unit.empty() ? "" : " ", unit), range,
        "write a value in this range; check the unit");
  }
  return value;
}

void StudyLayer::set_aside(std::size_t row, const std::string& reason) {
  data_.set_aside.push_back({ids_[row], reason, data_.layer.shapes[row]});
  data_.notes.add(base::NoteId::FeatureSetAside, 0.0, fmt::format("{} {}", key_->part, ids_[row]));
}

void StudyLayer::set_aside(const std::string& id, const std::string& reason) {
  const auto row = std::find(ids_.begin(), ids_.end(), id);
  const bool known = row != ids_.end() && ids_.size() == data_.layer.shapes.size();
  data_.set_aside.push_back(
      {id, reason, known ? data_.layer.shapes[static_cast<std::size_t>(row - ids_.begin())] : base::Shape{}});
  data_.notes.add(base::NoteId::FeatureSetAside, 0.0, fmt::format("{} {}", key_->part, id));
}

void StudyLayer::check_share(double share, bool strict) const {
  const auto bad = static_cast<std::int64_t>(data_.set_aside.size());
  if (bad == 0) {
    return;
  }
  if (strict) {
    const geodata::SetAside& first = data_.set_aside.front();
    throw InputError({source_.file, std::string(key_->part), first.id},
                     fmt::format("{} (--strict)", first.reason), std::string(key_->shape),
                     "mend or remove this feature, or run without --strict");
  }
  if (static_cast<double>(bad) <= share * static_cast<double>(features_)) {
    return;
  }
  const std::string list = worst_first(data_.set_aside);
  throw InputError({source_.file, std::string(key_->part), ""},
                   fmt::format("{} of {} features cannot be used{}", bad, features_, list),
                   fmt::format("at most {:g} % (ground.max_set_aside)", share * 100.0),
                   "mend the layer, or raise ground.max_set_aside if the rest is enough");
}

}  // namespace curbshed::cli
