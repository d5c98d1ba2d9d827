#include "curbshed/cli/site_places.hpp"

#include "curbshed/base/measure_text.hpp"

#include <fmt/format.h>

namespace curbshed::cli {
namespace {

using base::InputError;
using base::Point;

const char* const kWays =
    "x and y; longitude and latitude; place; or street, side, corner and distance (docs/study-file.md)";

bool blank(const std::string& text) { return text.find_first_not_of(" \t\r\n") == std::string::npos; }

}  // namespace

SitePlaces::SitePlaces(const geodata::Projection& projection, const std::vector<terrain::CurbLine>& curbs,
                       double cell_m, double agree_m)
    : projection_(projection), curbs_(curbs), cell_m_(cell_m), agree_m_(agree_m) {}

const street::BlockFaces& SitePlaces::faces() {
  if (!faces_) {
    faces_.emplace(curbs_, street::kMeetCells * cell_m_);
  }
  return *faces_;
}

const geodata::PlaceReader& SitePlaces::reader(const std::string& crs, const StudyLayer& layer) {
  std::unique_ptr<geodata::PlaceReader>& reader = readers_[crs];
  if (!reader) {
    reader = std::make_unique<geodata::PlaceReader>(
        crs, projection_, base::Where{layer.layer().source, std::string(layer.part()), "crs"});
    if (reader->shift_unknown()) {
      notes_.add(base::NoteId::DatumShiftUnknown, 0.0, layer.layer().source);
    }
  }
  return *reader;
}

std::optional<Point> SitePlaces::by_pair(const StudyLayer& layer, std::size_t row, const char* first,
                                         const char* second, const std::string& crs) {
  const auto number = [&](const char* field) {
    try {
      return layer.measure(row, field);
    } catch (const InputError& error) {
      throw InputError(layer.where(row), error.met(), "one number, with a point as decimal sign",
                       "correct this place");
    }
  };
  const std::optional<double> x = number(first);
  const std::optional<double> y = number(second);
  if (!x && !y) {
    return std::nullopt;
  }
  if (!x || !y) {
    throw InputError(layer.where(row),
                     fmt::format("{} is there without {}", x ? first : second, x ? second : first),
                     fmt::format("both {} and {}", first, second), "fill in both, or neither");
  }
  const std::optional<Point> at = reader(crs, layer).point(*x, *y);
  if (!at) {
    throw InputError(
        layer.where(row),
        fmt::format("{} {}, {} {} cannot be brought to {}", first, *x, second, *y, projection_.name),
        "a place on Earth near the elevation model", "check the numbers and the crs");
  }
  return at;
}

std::optional<Point> SitePlaces::by_sentence(const StudyLayer& layer, std::size_t row) {
  const std::string text = layer.text(row, "place");
  if (blank(text)) {
    return std::nullopt;
  }
  // Where no street has a name our tables write "at x, y unit".
  double x = 0.0;
  double y = 0.0;
  int read = 0;
  if (std::sscanf(text.c_str(), "at %lf, %lf %n", &x, &y, &read) == 2 && read > 0) {
    return reader("", layer).point(x, y);
  }
  return street::find_place(faces(), street::parse_place(text)).at;
}

std::optional<Point> SitePlaces::by_tape(const StudyLayer& layer, std::size_t row) {
  street::TapePlace asked;
  asked.street = layer.text(row, "street");
  asked.side = layer.text(row, "side");
  asked.corner = layer.text(row, "corner");
  asked.toward = layer.text(row, "toward");
  const std::optional<double> distance = layer.measure(row, "distance");
  if (blank(asked.corner) && !distance) {
    return std::nullopt;
  }
  const char* missing = blank(asked.street)   ? "street"
                        : blank(asked.corner) ? "corner"
                        : !distance           ? "distance"
                                              : "";
  if (*missing != '\0') {
    throw InputError(layer.where(row), fmt::format("{} is missing", missing),
                     "street, side, corner and distance", "fill it in; the tape starts at the corner");
  }
  asked.distance_m = *distance;
  return street::find_place(faces(), asked).at;
}

Point SitePlaces::of(const StudyLayer& layer, std::size_t row) {
  const base::Shape& shape = layer.shape(row);
  if (shape.points.size() > 1) {
    throw InputError(layer.where(row), fmt::format("the feature has {} points", shape.points.size()),
                     "one point", "make it one feature a place");
  }
  if (!shape.points.empty()) {
    return shape.points.front();
  }
  std::vector<Way> ways;
  try {
    if (const auto at = by_pair(layer, row, "x", "y", layer.crs())) {
      ways.push_back({"x and y", *at});
    }
    if (const auto at = by_pair(layer, row, "longitude", "latitude", "EPSG:4326")) {
      ways.push_back({"longitude and latitude", *at});
    }
    if (const auto at = by_sentence(layer, row)) {
      ways.push_back({"place", *at});
    }
    if (const auto at = by_tape(layer, row)) {
      ways.push_back({"street, corner and distance", *at});
    }
  } catch (const InputError& error) {
    throw error.located(layer.where(row));
  }
  if (ways.empty()) {
    throw InputError(layer.where(row), "the feature does not say where it is", kWays, "fill in one of these");
  }
  for (const Way& way : ways) {
    const double apart = base::distance_m(way.at, ways.front().at);
    if (apart > agree_m_) {
      throw InputError(
          layer.where(row), fmt::format("{} and {} are {:.1f} m apart", ways.front().name, way.name, apart),
          fmt::format("up to {:.2f} m (street.snap)", agree_m_), "correct one, or leave one out");
    }
  }
  return ways.front().at;
}

}  // namespace curbshed::cli
