#include "curbshed/cli/start_layers.hpp"

#include "curbshed/base/layer_fields.hpp"
#include "curbshed/geodata/layer_list.hpp"
#include "curbshed/study/study_keys.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <map>
#include <string_view>

#include <fmt/format.h>

namespace curbshed::cli {
namespace {

using base::InputError;
using base::ShapeKind;

/// Small letters and digits only: "St_Name" → "stname".
std::string plain(std::string_view word) {
  std::string out;
  for (const char c : word) {
    const auto letter = static_cast<unsigned char>(c);
    if (std::isalnum(letter) != 0) {
      out += static_cast<char>(std::tolower(letter));
    }
  }
  return out;
}

struct FieldWords {
  std::string_view part;
  std::string_view ours;
  std::vector<std::string_view> theirs;  ///< plain, the likeliest first
};

const std::vector<FieldWords>& field_words() {
  static const std::vector<FieldWords> words = {
      {"street.centrelines",
       "street",
       {"street", "streetname", "stname", "fullname", "fullstname", "streetfull", "roadname", "rdname",
        "name", "label", "strname"}},
      {"street.centrelines",
       "class",
       {"class", "highway", "roadclass", "streetclass", "stclass", "functionalclass", "funcclass", "fclass",
        "roadtype", "streettype", "type"}},
      {"street.centrelines",
       "width",
       {"width", "widthm", "widthft", "pavementwidth", "pavewidth", "roadwidth", "rdwidth", "streetwidth",
        "stwidth", "curbtocurb", "curbwidth", "pavewidthft", "widthfeet", "widthmetres", "widthmeters"}},
      {"lots.buildings",
       "id",
       {"id", "housenumber", "addrhousenumber", "number", "address", "buildingid", "bldgid"}},
      {"lots.lots", "id", {"id", "number", "lot", "parcelid", "parcel", "apn", "pin"}},
      {"lots.lots", "yard", {"yard", "yardcover", "landcover", "cover"}},
      {"street.cuts", "id", {"id", "name", "cut", "label"}},
  };
  return words;
}

std::string field_for(const FieldWords& words, const base::Table& table) {
  for (const std::string_view theirs : words.theirs) {
    for (const base::Column& column : table.columns) {
      if (plain(column.name) == theirs) {
        return column.name;
      }
    }
  }
  return {};
}

const study::LayerKey& layer_key(std::string_view part) {
  for (const study::LayerKey& key : study::study_layers()) {
    if (key.part == part) {
      return key;
    }
  }
  throw base::BugError("a layer that the key table does not have");
}

ShapeKind kind_of(std::string_view shape) {
  return shape == "points" ? ShapeKind::Point : shape == "lines" ? ShapeKind::Line : ShapeKind::Polygon;
}

/// Words in a layer's name that say what it is.
std::vector<std::string_view> name_words(std::string_view part) {
  if (part == "street.centrelines" || part == "street.pavement") {
    return {"centreline", "centerline", "street", "road", "highway", "line"};
  }
  if (part == "lots.buildings") {
    return {"building", "footprint", "structure", "house", "roof"};
  }
  if (part == "lots.lots") {
    return {"lot", "parcel"};
  }
  return {"cut"};
}

std::string choose_layer(const StartFile& file, ShapeKind kind, std::string_view shape) {
  const std::vector<geodata::LayerHead> heads = geodata::list_layers(file.path);
  std::vector<const geodata::LayerHead*> fit;
  std::string all;
  for (const geodata::LayerHead& head : heads) {
    all += fmt::format("{}{}", all.empty() ? "" : ", ", head.name);
    if (head.kind == kind || head.kind == ShapeKind::None) {
      fit.push_back(&head);
    }
  }
  if (!file.layer.empty() || heads.size() == 1) {
    return file.layer.empty() ? heads.front().name : file.layer;
  }
  if (fit.size() == 1) {
    return fit.front()->name;
  }
  for (const std::string_view word : name_words(file.part)) {
    std::vector<const geodata::LayerHead*> named;
    std::copy_if(fit.begin(), fit.end(), std::back_inserter(named), [&](const geodata::LayerHead* head) {
      return plain(head->name).find(word) != std::string::npos;
    });
    if (named.size() == 1) {
      return named.front()->name;
    }
  }
  throw InputError(
      {file.path, "", ""}, fmt::format("{} of its layers could hold the {} ({})", fit.size(), shape, all),
      fmt::format("one layer of {}", shape), "name it: --layer FLAG=NAME, as --layer streets=NAME");
}

/// Fills fields and classes of one layer.
class Mapper {
 public:
  explicit Mapper(StartLayer& layer) : layer_(layer) {}

  void map() {
    for (const FieldWords& words : field_words()) {
      if (words.part != layer_.part) {
        continue;
      }
      const std::string field = field_for(words, layer_.data.layer.table);
      if (field.empty()) {
        missing(words.ours);
      } else if (words.ours == "width") {
        map_width(field);
      } else if (words.ours == "class") {
        map_classes(field);
      } else if (words.ours == "yard") {
        map_yards(field);
      } else {
        layer_.source.fields[std::string(words.ours)] = {field, ""};
        layer_.found.push_back(fmt::format("the field {} is taken as {}", field, meaning(words.ours)));
      }
    }
  }

 private:
  std::string meaning(std::string_view ours) const {
    return ours == "street"                  ? "the street's name"
           : layer_.part == "lots.buildings" ? "the house number"
                                             : "its name";
  }

  void missing(std::string_view ours) {
    if (ours == "street") {
      layer_.questions.emplace_back(
          "No field holds the street's name. Is there one? Then add fields = { street = \"THEIRS\" }.");
    } else if (ours == "width") {
      layer_.found.emplace_back(
          "no field holds the width from curb to curb; the ground is asked, then the class");
    }
  }

  std::map<std::string, std::int64_t> values_of(const std::string& field) const {
    std::map<std::string, std::int64_t> values;
    const std::size_t column = base::field_column(layer_.data.layer, field);
    for (std::size_t row = 0; row < layer_.data.layer.table.rows.size(); ++row) {
      const std::string value = base::text_at(layer_.data.layer, row, column);
      if (!value.empty()) {
        ++values[value];
      }
    }
    return values;
  }

  void map_width(const std::string& field) {
    std::vector<double> widths;
    bool text = false;
    for (const auto& entry : values_of(field)) {
      const std::optional<double> number = base::parse_number(entry.first);
      text = text || !number;
      if (number) {
        widths.insert(widths.end(), static_cast<std::size_t>(entry.second), *number);
      }
    }
    if (text && widths.empty()) {
      layer_.source.fields["width"] = {field, ""};
      layer_.found.push_back(
          fmt::format("the field {} is taken as the width from curb to curb, with its own units", field));
      return;
    }
    const std::pair<std::string, std::string> unit = width_unit(field, widths);
    if (text || unit.first.empty()) {
      layer_.questions.push_back(fmt::format(
          "Is the field {} the width from curb to curb, and in which unit ({})? Then add width = {{ field = "
          "\"{}\", unit = \"m\" }} to fields. Until then the ground is asked, then the class.",
          field, text ? "some values are no numbers" : unit.second, field));
      return;
    }
    layer_.source.fields["width"] = {field, unit.first};
    layer_.found.push_back(fmt::format("the field {} is taken as the width from curb to curb in {}: {}",
                                       field, unit.first, unit.second));
  }

  void map_classes(const std::string& field) {
    std::string mapped;
    std::vector<std::string> unknown;
    std::string carless;
    for (const auto& entry : values_of(field)) {
      const std::string ours = street_class_of(entry.first);
      if (ours == "-") {
        std::string quoted;
        for (const char c : entry.first) {
          quoted += c == '\'' ? "''" : std::string(1, c);
        }
        carless += fmt::format("{}'{}'", carless.empty() ? "" : ", ", quoted);
      } else if (ours.empty()) {
        unknown.push_back(entry.first);
      } else if (ours != entry.first) {
        layer_.source.classes[entry.first] = ours;
        mapped += fmt::format("{}{} as {}", mapped.empty() ? "" : ", ", entry.first, ours);
      }
    }
    if (unknown.size() > 8) {
      layer_.questions.push_back(
          fmt::format("Does the field {} say what sort of street it is? Its words are not known here ({}, "
                      "{}, …). Then map "
                      "them with classes = {{ theirs = \"residential\" }}.",
                      field, unknown[0], unknown[1]));
      layer_.source.classes.clear();
      return;
    }
    layer_.source.fields["class"] = {field, ""};
    layer_.found.push_back(fmt::format("the field {} is taken as the sort of street{}{}", field,
                                       mapped.empty() ? "" : ": ", mapped));
    for (const std::string& word : unknown) {
      layer_.source.classes[word] = "residential";
      layer_.questions.push_back(
          fmt::format("What sort of street is \"{}\"? It was taken as residential (see classes).", word));
    }
    if (!carless.empty()) {
      layer_.source.where = fmt::format("\"{0}\" IS NULL OR \"{0}\" NOT IN ({1})", field, carless);
      layer_.found.push_back(fmt::format("ways without a curb are left out: {}", carless));
    }
  }

  void map_yards(const std::string& field) {
    const study::LayerKey& key = layer_key(layer_.part);
    for (const auto& entry : values_of(field)) {
      if (std::find(key.classes.begin(), key.classes.end(), entry.first) == key.classes.end()) {
        layer_.questions.push_back(
            fmt::format("Does the field {} say what covers the yards? Its word \"{}\" is not one of ours: "
                        "map it with yard = "
                        "\"{}\" in fields and classes = {{ \"{}\" = \"yard_desert\" }}.",
                        field, entry.first, field, entry.first));
        return;
      }
    }
    layer_.source.fields["yard"] = {field, ""};
    layer_.found.push_back(fmt::format("the field {} is taken as what covers the yard", field));
  }

  StartLayer& layer_;
};

/// Columns of a CSV file of points.
void map_points(const StartFile& file, StartLayer& layer, geodata::LayerSource& source) {
  const std::vector<geodata::LayerHead> heads = geodata::list_layers(file.path);
  if (heads.empty() || heads.front().kind == ShapeKind::Point) {
    return;
  }
  const auto column = [&](const std::vector<std::string_view>& words) {
    for (const std::string_view word : words) {
      for (const std::string& field : heads.front().fields) {
        if (plain(field) == word) {
          return field;
        }
      }
    }
    return std::string();
  };
  std::string x = column({"x", "east", "easting"});
  std::string y = column({"y", "north", "northing"});
  if (x.empty() || y.empty()) {
    x = column({"longitude", "lon", "long", "lng"});
    y = column({"latitude", "lat"});
    source.crs = "EPSG:4326";
    layer.source.crs = source.crs;
  }
  if (x.empty() || y.empty()) {
    throw InputError({file.path, "", ""},
                     "no columns for east and north, or longitude and latitude, are found",
                     "columns x and y, or longitude and latitude", "name the columns so");
  }
  layer.source.fields["x"] = {x, ""};
  layer.source.fields["y"] = {y, ""};
  source.x_field = x;
  source.y_field = y;
}

}  // namespace

std::pair<std::string, std::string> width_unit(const std::string& field, std::vector<double> widths) {
  const std::string name = plain(field);
  const auto ends = [&](std::string_view ending) {
    return name.size() > ending.size() &&
           name.compare(name.size() - ending.size(), ending.size(), ending) == 0;
  };
  if (ends("ft") || ends("feet")) {
    return {"ft", "its name says so"};
  }
  if (ends("metres") || ends("meters") ||
      (ends("m") && (field.size() > 1 && field[field.size() - 2] == '_'))) {
    return {"m", "its name says so"};
  }
  widths.erase(std::remove_if(widths.begin(), widths.end(), [](double w) { return !(w > 0.0); }),
               widths.end());
  if (widths.empty()) {
    return {"", "it holds no width"};
  }
  const auto middle = widths.begin() + static_cast<std::ptrdiff_t>(widths.size() / 2);
  std::nth_element(widths.begin(), middle, widths.end());
  if (*middle > 25.0) {
    return {"ft", fmt::format("the middle width is {:g}, too much for metres", *middle)};
  }
  if (*middle < 12.0) {
    return {"m", fmt::format("the middle width is {:g}, too little for feet", *middle)};
  }
  return {"", fmt::format("the middle width is {:g}, which metres and feet both allow", *middle)};
}

std::string street_class_of(const std::string& word) {
  static const std::vector<std::pair<std::string_view, std::vector<std::string_view>>> kWords = {
      {"alley", {"alley", "service", "lane", "backlane"}},
      {"residential",
       {"residential", "local", "livingstreet", "unclassified", "minor", "road", "street", "localstreet",
        "localroad", "neighborhood", "neighbourhood"}},
      {"collector",
       {"collector", "tertiary", "secondary", "tertiarylink", "secondarylink", "majorcollector",
        "minorcollector"}},
      {"arterial",
       {"arterial", "primary", "primarylink", "trunk", "trunklink", "majorarterial", "minorarterial",
        "major"}},
      {"cul_de_sac", {"culdesac", "court", "turningcircle"}},
      {"-",
       {"footway", "path", "cycleway", "steps", "track", "pedestrian", "bridleway", "sidewalk", "trail",
        "crossing", "corridor", "proposed", "construction", "railway", "motorway", "motorwaylink",
        "freeway"}},
  };
  const std::string own = plain(word);
  for (const auto& row : kWords) {
    if (std::find(row.second.begin(), row.second.end(), own) != row.second.end()) {
      return std::string(row.first);
    }
  }
  return {};
}

base::ShapeKind sort_of_file(const std::string& path) {
  ShapeKind sort = ShapeKind::None;
  for (const geodata::LayerHead& head : geodata::list_layers(path)) {
    if (head.kind == ShapeKind::None || (sort != ShapeKind::None && sort != head.kind)) {
      return ShapeKind::None;
    }
    sort = head.kind;
  }
  return sort;
}

StartLayer find_layer(const StartFile& file, const geodata::Projection& projection, const base::Box& ground,
                      const std::optional<base::Box>& clip) {
  const study::LayerKey& key = layer_key(file.part);
  const ShapeKind kind = kind_of(key.shape);
  StartLayer layer;
  layer.part = file.part;
  layer.source.file = file.written;
  geodata::LayerSource source;
  source.file = file.path;
  source.layer = choose_layer(file, kind, key.shape);
  if (kind == ShapeKind::Point) {
    map_points(file, layer, source);
  } else {
    source.clip = clip;
  }
  layer.data = geodata::read_layer(source, projection, kind, ground);
  if (layer.data.layer.shapes.empty()) {
    const bool bad = !layer.data.set_aside.empty();
    throw InputError({file.path, source.layer, bad ? layer.data.set_aside.front().id : std::string()},
                     bad ? layer.data.set_aside.front().reason : "no feature lies at this place",
                     fmt::format("{} at the place", key.shape),
                     "give another file, or name another layer with --layer");
  }
  const bool several = geodata::list_layers(file.path).size() > 1;
  layer.source.layer = several ? source.layer : "";
  const std::size_t count = layer.data.layer.shapes.size();
  layer.found.push_back(fmt::format(
      "{}{}: {} {} here, in {}{}", file.written, several ? ", layer " + source.layer : "", count, key.shape,
      layer.data.crs_name, layer.data.converted ? ", brought to the elevation model's system" : ""));
  Mapper(layer).map();
  return layer;
}

}  // namespace curbshed::cli
