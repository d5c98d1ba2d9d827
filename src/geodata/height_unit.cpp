#include "height_unit.hpp"

#include "curbshed/base/quantity.hpp"
#include "curbshed/geodata/burn.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <limits>

#include <fmt/format.h>

namespace curbshed::geodata {
namespace detail {
namespace {

struct Word {
  std::string_view word;
  std::string_view unit;
};
constexpr std::array<Word, 25> kWords = {{
    {"m", "m"},
    {"metre", "m"},
    {"metres", "m"},
    {"meter", "m"},
    {"meters", "m"},
    {"ft", "ft"},
    {"foot", "ft"},
    {"feet", "ft"},
    {"international foot", "ft"},
    {"international feet", "ft"},
    {"foot (international)", "ft"},
    {"feet (international)", "ft"},
    {"ft (international)", "ft"},
    {"usft", "usft"},
    {"us-ft", "usft"},
    {"us_ft", "usft"},
    {"us ft", "usft"},
    {"ftus", "usft"},
    {"sft", "usft"},
    {"us survey foot", "usft"},
    {"us survey feet", "usft"},
    {"foot_us", "usft"},
    {"foot us", "usft"},
    {"u.s. survey foot", "usft"},
    {"u.s. survey feet", "usft"},
}};

double metres_of(std::string_view unit) {
  if (unit == "ft") {
    return base::kMetresPerFoot;
  }
  return unit == "usft" ? base::kMetresPerUsSurveyFoot : 1.0;
}

/// m, ft or usft; "" for a word that is not known.
std::string_view unit_of_word(std::string word) {
  std::transform(word.begin(), word.end(), word.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  for (const Word& known : kWords) {
    if (known.word == word) {
      return known.unit;
    }
  }
  return {};
}

std::optional<HeightUnit> from_band(GDALRasterBand& band) {
  const char* written = band.GetUnitType();
  const std::string word = written == nullptr ? "" : written;
  const std::string_view unit = unit_of_word(word);
  if (unit.empty()) {
    return std::nullopt;
  }
  return HeightUnit{.name = std::string(unit),
                    .metres = metres_of(unit),
                    .origin = HeightUnitOrigin::Band,
                    .evidence = fmt::format("the band's unit is \"{}\"", word)};
}

std::optional<HeightUnit> from_vertical_system(const OGRSpatialReference* system) {
  // Without a vertical part GDAL would answer 1 metre all the same.
  if (system == nullptr || system->GetAttrValue("VERT_CS") == nullptr) {
    return std::nullopt;
  }
  const char* name = nullptr;
  const double metres = system->GetTargetLinearUnits("VERT_CS", &name);
  for (const std::string_view unit : {"m", "ft", "usft"}) {
    if (std::abs(metres / metres_of(unit) - 1.0) < 1e-9) {
      return HeightUnit{
          .name = std::string(unit),
          .metres = metres_of(unit),
          .origin = HeightUnitOrigin::VerticalSystem,
          .evidence = fmt::format("the vertical system \"{}\" has the unit \"{}\"",
                                  system->GetAttrValue("VERT_CS"), name == nullptr ? "" : name)};
    }
  }
  return std::nullopt;
}

/// Feet of either kind are 2 parts in a million apart: no contradiction when a file says just "ft".
bool agree(const HeightUnit& a, const HeightUnit& b) { return std::abs(a.metres / b.metres - 1.0) < 1e-4; }

std::optional<HeightUnit> from_study(const GroundSource& source) {
  if (source.height_unit.empty()) {
    return std::nullopt;
  }
  if (source.height_unit != "m" && source.height_unit != "ft" && source.height_unit != "usft") {
    throw base::InputError({.file = source.file, .layer = {}, .feature = {}},
                           fmt::format("the study's height_unit is \"{}\"", source.height_unit),
                           "\"m\", \"ft\", \"usft\"", "correct height_unit in the study's [ground]");
  }
  return HeightUnit{.name = source.height_unit,
                    .metres = metres_of(source.height_unit),
                    .origin = HeightUnitOrigin::Study,
                    .evidence = fmt::format("the study says height_unit = \"{}\"", source.height_unit)};
}

struct Range {
  double low = std::numeric_limits<double>::infinity();
  double high = -std::numeric_limits<double>::infinity();
};

Range range_of(const terrain::Ground& ground) {
  Range range;
  for (std::int64_t i = 0; i < ground.height_m.cells(); ++i) {
    if (ground.valid[i] != 0) {
      range.low = std::min(range.low, static_cast<double>(ground.height_m[i]));
      range.high = std::max(range.high, static_cast<double>(ground.height_m[i]));
    }
  }
  return range;
}

}  // namespace

std::optional<HeightUnit> height_unit_of(GDALRasterBand& band, const OGRSpatialReference* system,
                                         const GroundSource& source) {
  const std::optional<HeightUnit> own = from_band(band);
  const std::optional<HeightUnit> vertical = from_vertical_system(system);
  const std::optional<HeightUnit> study = from_study(source);
  const base::Where where{.file = source.file, .layer = {}, .feature = {}};
  if (own && vertical && !agree(*own, *vertical)) {
    if (study && (agree(*study, *own) || agree(*study, *vertical))) {
      return study;
    }
    throw base::InputError(
        where, fmt::format("{}, but {}", own->evidence, vertical->evidence), {},
        "find out which is right and say it in the study's [ground], as height_unit = \"m\"");
  }
  const std::optional<HeightUnit>& file = own ? own : vertical;
  if (file && study && !agree(*file, *study)) {
    throw base::InputError(where, fmt::format("{}, but {}", study->evidence, file->evidence), {},
                           "take height_unit out of the study, or correct the file's unit");
  }
  return file ? file : study;
}

base::InputError no_height_unit(const GroundSource& source, const std::string& band_unit,
                                const terrain::Ground& raw) {
  terrain::Grid<std::uint8_t> street;
  double run_m = 30.0;
  if (!source.streets.empty()) {
    run_m = 20.0;
    std::vector<base::Shape> shapes;
    for (const base::Polygon& polygon : source.streets) {
      shapes.push_back(base::polygon_shape(polygon));
    }
    const auto burned = burn_polygons(raw.frame, shapes, std::vector<std::int32_t>(shapes.size(), 0));
    street = terrain::Grid<std::uint8_t>(burned.rows(), burned.cols());
    for (std::int64_t i = 0; i < burned.cells(); ++i) {
      street[i] = burned[i] >= 0 ? 1 : 0;
    }
  }
  const double grade = middle_grade(raw, run_m, street);
  const Range range = range_of(raw);
  const auto reading = [&](std::string_view words, double metres) {
    return fmt::format(
        "Read as {}: heights {:.2f} m to {:.2f} m, middle grade of the {} over {:.0f} m {:.2f} %", words,
        range.low * metres, range.high * metres, street.empty() ? "ground" : "streets", run_m,
        100.0 * grade * metres);
  };
  const std::string unknown =
      band_unit.empty()
          ? "the file does not say whether its heights are metres or feet"
          : fmt::format("the file gives its heights in \"{}\", a unit that is not known here", band_unit);
  return base::InputError(
      {.file = source.file, .layer = {}, .feature = {}},
      fmt::format("{}. {}. {}", unknown, reading("metres", 1.0), reading("feet", base::kMetresPerFoot)), {},
      source.unit_advice.empty()
          ? "paste the line that fits the place into the study's [ground]: height_unit = "
            "\"m\" or height_unit = \"ft\" (US survey feet: height_unit = \"usft\")"
          : source.unit_advice);
}

}  // namespace detail

double middle_grade(const terrain::Ground& ground, double run_m, const terrain::Grid<std::uint8_t>& street) {
  const terrain::GridFrame& frame = ground.frame;
  constexpr std::int64_t kMostPlaces = 200000;
  const std::int64_t wanted = std::max<std::int64_t>(1, std::llround(run_m / frame.cell_m));
  const double thin = std::sqrt(static_cast<double>(frame.cells()) / static_cast<double>(kMostPlaces));
  const std::int64_t every = std::max<std::int64_t>(1, static_cast<std::int64_t>(std::ceil(thin)));
  std::vector<double> grades;
  const auto add = [&](std::int64_t row, std::int64_t col, std::int64_t down, std::int64_t right,
                       double metres) {
    if (!frame.inside(row + down, col + right)) {
      return;
    }
    const std::int64_t a = frame.index(row, col);
    const std::int64_t b = frame.index(row + down, col + right);
    const bool counts = ground.valid[a] != 0 && ground.valid[b] != 0 &&
                        (street.empty() || (street[a] != 0 && street[b] != 0));
    if (counts) {
      grades.push_back(
          std::abs(static_cast<double>(ground.height_m[a]) - static_cast<double>(ground.height_m[b])) /
          metres);
    }
  };
  // On a raster smaller than the run: as far as it goes.
  const std::int64_t down = std::min(wanted, frame.rows - 1);
  const std::int64_t right = std::min(wanted, frame.cols - 1);
  for (std::int64_t row = 0; row < frame.rows; row += every) {
    for (std::int64_t col = 0; col < frame.cols; col += every) {
      if (down > 0) {
        add(row, col, down, 0, static_cast<double>(down) * frame.cell_m);
      }
      if (right > 0) {
        add(row, col, 0, right, static_cast<double>(right) * frame.cell_m);
      }
    }
  }
  if (grades.empty()) {
    return 0.0;
  }
  const auto middle = grades.begin() + static_cast<std::ptrdiff_t>(grades.size() / 2);
  std::nth_element(grades.begin(), middle, grades.end());
  return *middle;
}

}  // namespace curbshed::geodata
