#include "curbshed/geodata/ground.hpp"

#include "curbshed/base/quantity.hpp"

#include "gdal_support.hpp"
#include "height_unit.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>
#include <unistd.h>

namespace curbshed::geodata {
namespace {

using base::InputError;

constexpr double kLeastCell_m = 0.05;
constexpr double kMostCell_m = 30.0;
constexpr double kLowest_m = -500.0;  // below the shore of the lowest lake on land
constexpr double kHighest_m = 9000.0;
constexpr std::int64_t kCellsAtOnce = 250'000;

base::Where at(const std::string& file) { return {.file = file, .layer = {}, .feature = {}}; }

detail::DatasetPtr open_raster(const std::string& file) {
  detail::DatasetPtr dataset =
      detail::open_file(file, GDAL_OF_RASTER, nullptr, "is not a raster that can be read",
                        "give an elevation model, for example a GeoTIFF");
  if (dataset->GetRasterCount() == 0 || dataset->GetRasterXSize() <= 0 || dataset->GetRasterYSize() <= 0) {
    throw InputError(at(file), "the raster has no cells", "one band of heights",
                     "name the part of the file that holds the heights (gdalinfo lists the parts)");
  }
  return dataset;
}

GDALRasterBand& heights_band(GDALDataset& dataset, const std::string& file) {
  if (dataset.GetRasterCount() != 1) {
    throw InputError(at(file), fmt::format("the raster has {} bands", dataset.GetRasterCount()),
                     "one band of heights",
                     "take the band with the heights out (gdal_translate -b 1 IN OUT)");
  }
  GDALRasterBand& band = *dataset.GetRasterBand(1);
  if (GDALDataTypeIsComplex(band.GetRasterDataType()) != 0) {
    throw InputError(
        at(file),
        fmt::format("the cells are complex numbers ({})", GDALGetDataTypeName(band.GetRasterDataType())),
        "whole or real numbers", "give an elevation model");
  }
  if (band.GetColorTable() != nullptr) {
    throw InputError(at(file), "the raster has a colour table: it holds classes or a picture",
                     "one band of heights", "give an elevation model");
  }
  return band;
}

/// Where the raster lies, in the units of its coordinate system.
struct Place {
  double west = 0.0;
  double north = 0.0;
  double cell = 0.0;
  std::int64_t rows = 0;
  std::int64_t cols = 0;
  std::int64_t file_row0 = 0;  ///< first row and column to read, as the file counts
  std::int64_t file_col0 = 0;
  bool south_up = false;
  base::Point centre() const {
    return {west + cell * static_cast<double>(cols) / 2.0, north - cell * static_cast<double>(rows) / 2.0};
  }
};

Place place_of(GDALDataset& dataset, const std::string& file) {
  std::array<double, 6> t{};
  if (dataset.GetGeoTransform(t.data()) != CE_None) {
    throw InputError(at(file), "the raster does not say where it lies",
                     "a raster with a corner and a cell size",
                     "give the file with its georeference, or its world file (.tfw) beside it");
  }
  for (const double value : t) {
    if (!std::isfinite(value)) {
      throw InputError(at(file), "the raster's corner or cell size is not a number", {},
                       "write the georeference anew");
    }
  }
  Place place;
  place.rows = dataset.GetRasterYSize();
  place.cols = dataset.GetRasterXSize();
  // Turned by less than a thousandth of a cell from one side to the other is rounding.
  const double turn = std::max(std::abs(t[2]) * static_cast<double>(place.rows),
                               std::abs(t[4]) * static_cast<double>(place.cols));
  if (turn > 1e-3 * std::max(std::abs(t[1]), std::abs(t[5])) || !(std::abs(t[1]) > 0.0) ||
      !(std::abs(t[5]) > 0.0)) {
    throw InputError(at(file), "the raster is turned or sheared against its coordinate system",
                     "rows from west to east", "resample it (gdalwarp -r bilinear IN OUT)");
  }
  if (t[1] < 0.0) {
    throw InputError(at(file), "the rows run from east to west", "rows from west to east",
                     "resample it (gdalwarp IN OUT)");
  }
  if (std::abs(t[1] - std::abs(t[5])) > 1e-6 * t[1]) {
    throw InputError(
        at(file), fmt::format("the cells are {} by {}", t[1], std::abs(t[5])), "square cells",
        fmt::format("resample it (gdalwarp -tr {0} {0} -r bilinear IN OUT)", std::min(t[1], std::abs(t[5]))));
  }
  place.cell = t[1];
  place.west = t[0];
  place.south_up = t[5] > 0.0;
  place.north = place.south_up ? t[3] + t[5] * static_cast<double>(place.rows) : t[3];
  return place;
}

terrain::GridFrame frame_of(const Place& place, const Projection& projection, const std::string& file) {
  terrain::GridFrame frame;
  frame.west_m = place.west * projection.metres_per_unit;
  frame.north_m = place.north * projection.metres_per_unit;
  frame.cell_m = place.cell * projection.metres_per_unit;
  frame.rows = place.rows;
  frame.cols = place.cols;
  if (!(frame.cell_m >= kLeastCell_m && frame.cell_m <= kMostCell_m)) {
    throw InputError(
        at(file), fmt::format("the cells are {} m wide", frame.cell_m),
        fmt::format("{} m to {} m; 0.5 m to 1 m shows a street's crown", kLeastCell_m, kMostCell_m),
        "give a model of another cell size, or correct its coordinate system");
  }
  return frame;
}

/// The part of the raster that the window meets, on the raster's own cells.
Place cut_out(const Place& whole, const base::Box& window, const Projection& projection,
              const std::string& file) {
  const double unit = projection.metres_per_unit;
  // A window that ends on a cell's side does not take the next cell along for a rounding.
  constexpr double kHair = 1e-6;
  const auto first = [&](double distance, std::int64_t cells) {
    const double at = std::floor(distance / whole.cell + kHair);
    return static_cast<std::int64_t>(std::clamp(at, 0.0, static_cast<double>(cells)));
  };
  const auto behind = [&](double distance, std::int64_t cells) {
    const double at = std::ceil(distance / whole.cell - kHair);
    return static_cast<std::int64_t>(std::clamp(at, 0.0, static_cast<double>(cells)));
  };
  const std::int64_t col0 = first(window.min_x_m / unit - whole.west, whole.cols);
  const std::int64_t col1 = behind(window.max_x_m / unit - whole.west, whole.cols);
  const std::int64_t row0 = first(whole.north - window.max_y_m / unit, whole.rows);
  const std::int64_t row1 = behind(whole.north - window.min_y_m / unit, whole.rows);
  if (col0 >= col1 || row0 >= row1) {
    const auto words = [](double west, double east, double south, double north) {
      return fmt::format("x {:.0f} to {:.0f}, y {:.0f} to {:.0f}", west, east, south, north);
    };
    throw InputError(at(file),
                     fmt::format("the place of the study ({}) does not lie on the elevation model",
                                 words(window.min_x_m / unit, window.max_x_m / unit, window.min_y_m / unit,
                                       window.max_y_m / unit)),
                     words(whole.west, whole.west + whole.cell * static_cast<double>(whole.cols),
                           whole.north - whole.cell * static_cast<double>(whole.rows), whole.north),
                     "correct [place] and its crs, or give the elevation model of that place");
  }
  Place part = whole;
  part.west = whole.west + whole.cell * static_cast<double>(col0);
  part.north = whole.north - whole.cell * static_cast<double>(row0);
  part.rows = row1 - row0;
  part.cols = col1 - col0;
  part.file_row0 = whole.south_up ? whole.rows - row1 : row0;
  part.file_col0 = col0;
  return part;
}

void check_memory(const GroundSource& source, const terrain::GridFrame& frame) {
  const std::int64_t limit =
      source.memory_limit_bytes > 0 ? source.memory_limit_bytes : machine_memory_bytes();
  const double need = static_cast<double>(frame.cells()) * static_cast<double>(source.bytes_a_cell) +
                      static_cast<double>(source.bytes_besides);
  const auto words = [](double bytes) {
    return bytes < 1e9 ? fmt::format("{:.3g} MB", bytes / 1e6) : fmt::format("{:.3g} GB", bytes / 1e9);
  };
  if (need > static_cast<double>(limit)) {
    throw InputError(
        at(source.file),
        fmt::format("{} x {} cells need about {} of memory", frame.cols, frame.rows, words(need)),
        fmt::format("{}, {}", words(static_cast<double>(limit)),
                    source.memory_limit_bytes > 0 ? "as --memory says" : "the memory there is"),
        "give the study a [place] (corners or a polygon), take larger cells, or allow more with --memory");
  }
}

struct Oddity {
  std::int64_t cells = 0;
  double value = 0.0;
  std::int64_t row = 0;
  std::int64_t col = 0;
};

void throw_odd(const std::string& file, const Oddity& odd, const detail::HeightUnit* unit) {
  const std::string where =
      fmt::format("row {}, column {} (counted from 1 at the top left of the file)", odd.row + 1, odd.col + 1);
  if (std::isinf(odd.value)) {
    throw InputError(at(file),
                     fmt::format("{} cells hold an infinite height, the first at {}", odd.cells, where),
                     "finite heights or a declared no-data value",
                     "replace them (gdal_calc.py), or ask the file's maker for a whole copy");
  }
  const bool round = std::abs(odd.value) >= 1e30 || odd.value == -9999.0 || odd.value == -32768.0 ||
                     odd.value == 9999.0 || odd.value == -99999.0 || odd.value == 32767.0 ||
                     odd.value == -999999.0 || odd.value == 65535.0;
  const std::string number = fmt::format("{}", static_cast<float>(odd.value));
  throw InputError(
      at(file),
      fmt::format("{} cells hold heights that no street has; the first is {}{} at {}", odd.cells, number,
                  unit == nullptr ? "" : " " + unit->name, where),
      fmt::format("{} m to {} m", kLowest_m, kHighest_m),
      round ? fmt::format("this looks like a no-data value that the file does not declare: declare it "
                          "(gdal_edit.py -a_nodata {} FILE)",
                          number)
            : std::string(
                  "check the height unit, or declare the no-data value (gdal_edit.py -a_nodata VALUE FILE)"));
}

/// Of heights in the file's unit times `factor`. Without a unit only what is odd both in feet and in metres
/// is odd.
struct Limits {
  double factor = 1.0;
  double low = kLowest_m / base::kMetresPerFoot;
  double high = kHighest_m / base::kMetresPerFoot;
};

Limits limits_of(const detail::HeightUnit* unit) {
  return unit == nullptr ? Limits{}
                         : Limits{unit->metres, kLowest_m / unit->metres, kHighest_m / unit->metres};
}

}  // namespace

struct GroundFile::State {
  GroundSource source;
  detail::DatasetPtr dataset;
  GDALRasterBand* band = nullptr;
  Place place;
  std::optional<detail::HeightUnit> unit;
  Limits limits;
  GroundData about;
  Oddity odd;
  std::int64_t seen_rows = 0;  ///< from the top of the raster: what was told of them is told once
  std::int64_t seen_heights = 0;
  std::vector<double> heights;
  std::vector<std::uint8_t> known;

  void read_file_rows(std::int64_t first, std::int64_t rows) {
    const auto cells = static_cast<std::size_t>(rows * place.cols);
    if (heights.size() < cells) heights.resize(cells);
    if (known.size() < cells) known.resize(cells, 255);
    const int nx = static_cast<int>(place.cols);
    const int ny = static_cast<int>(rows);
    const int x0 = static_cast<int>(place.file_col0);
    const int y0 = static_cast<int>(place.file_row0 + first);
    detail::GdalMessages messages;
    CPLErr status =
        band->RasterIO(GF_Read, x0, y0, nx, ny, heights.data(), nx, ny, GDT_Float64, 0, 0, nullptr);
    if (status == CE_None && (band->GetMaskFlags() & GMF_ALL_VALID) == 0) {
      status = band->GetMaskBand()->RasterIO(GF_Read, x0, y0, nx, ny, known.data(), nx, ny, GDT_Byte, 0, 0,
                                             nullptr);
    }
    if (status != CE_None) {
      throw InputError(at(source.file),
                       fmt::format("the heights cannot be read: {}", messages.first_failure()), {},
                       "the file may be cut short: copy it again");
    }
  }

  /// One row of what was read last.
  void take_row(std::int64_t in_buffer, std::int64_t file_row, float* height_m, std::uint8_t* valid) {
    const double scale = band->GetScale();
    const double offset = band->GetOffset();
    const bool is_new = row_of(file_row) >= seen_rows;
    for (std::int64_t col = 0; col < place.cols; ++col) {
      const auto i = static_cast<std::size_t>(in_buffer * place.cols + col);
      const double raw = heights[i];
      height_m[col] = 0.0F;
      valid[col] = 0;
      if (known[i] == 0 || std::isnan(raw)) continue;
      const double height = raw * scale + offset;
      if (!(height >= limits.low && height <= limits.high)) {
        if (is_new && (odd.cells++ == 0 || (std::isinf(height) && !std::isinf(odd.value)))) {
          odd = Oddity{.cells = odd.cells,
                       .value = height,
                       .row = place.file_row0 + file_row,
                       .col = place.file_col0 + col};
        }
        continue;
      }
      height_m[col] = static_cast<float>(height * limits.factor);
      valid[col] = 1;
    }
    if (is_new) tell_of(height_m, valid);
  }

  std::int64_t row_of(std::int64_t file_row) const {
    return place.south_up ? place.rows - 1 - file_row : file_row;
  }

  void tell_of(const float* height_m, const std::uint8_t* valid) {
    for (std::int64_t col = 0; col < place.cols; ++col) {
      if (valid[col] == 0) {
        ++about.cells_without_height;
        continue;
      }
      about.lowest_m = seen_heights > 0 ? std::min(about.lowest_m, height_m[col]) : height_m[col];
      about.highest_m = seen_heights > 0 ? std::max(about.highest_m, height_m[col]) : height_m[col];
      ++seen_heights;
    }
  }

  void check_heights() const {
    if (odd.cells > 0) {
      throw_odd(source.file, odd, unit ? &*unit : nullptr);
    }
    if (seen_heights == 0) {
      throw InputError(at(source.file), "no cell of the raster holds a height", "at least one cell with data",
                       "check the declared no-data value and the part of the map that was cut out");
    }
  }
};

GroundFile::GroundFile(const GroundSource& source) : state_(std::make_unique<State>()) {
  State& s = *state_;
  s.source = source;
  s.dataset = open_raster(source.file);
  s.band = &heights_band(*s.dataset, source.file);
  s.place = place_of(*s.dataset, source.file);
  {
    detail::GdalMessages messages;
    const OGRSpatialReference* system = s.dataset->GetSpatialRef();
    s.about.projection = detail::checked_projection(system, at(source.file), s.place.centre());
    s.unit = detail::height_unit_of(*s.band, system, source);
  }
  if (source.window) {
    s.place = cut_out(s.place, *source.window, s.about.projection, source.file);
  }
  s.about.ground.frame = frame_of(s.place, s.about.projection, source.file);
  s.limits = limits_of(s.unit ? &*s.unit : nullptr);
  s.about.format = s.dataset->GetDriverName();
  s.about.turned_north_up = s.place.south_up;
  if (s.unit) {
    s.about.height_unit = s.unit->name;
    s.about.metres_per_height_unit = s.unit->metres;
    s.about.height_unit_origin = s.unit->origin;
    s.about.height_unit_evidence = s.unit->evidence;
    if (s.unit->origin == HeightUnitOrigin::Study) {
      s.about.notes.add(base::NoteId::HeightUnitFromStudy, 0.0, source.file);
    }
  }
}

GroundFile::~GroundFile() = default;

const GroundData& GroundFile::about() const { return state_->about; }

std::int64_t GroundFile::block_row_bytes() const {
  int across = 0;
  int down = 0;
  state_->band->GetBlockSize(&across, &down);
  const std::int64_t blocks = (state_->place.cols + across - 1) / std::max(across, 1);
  const int bytes = GDALGetDataTypeSizeBytes(state_->band->GetRasterDataType());
  return blocks * across * std::int64_t{down} * (bytes + 1);
}

void GroundFile::require_unit() {
  State& s = *state_;
  if (s.unit) {
    return;
  }
  constexpr std::int64_t kEnough = 4'000'000;
  terrain::Ground middle;
  middle.frame = s.about.ground.frame;
  middle.frame.rows = std::clamp<std::int64_t>(kEnough / s.place.cols, 1, s.place.rows);
  middle.height_m = terrain::Grid<float>(middle.frame.rows, s.place.cols);
  middle.valid = terrain::Grid<std::uint8_t>(middle.frame.rows, s.place.cols);
  read((s.place.rows - middle.frame.rows) / 2, middle.frame.rows, middle.height_m.data(),
       middle.valid.data());
  require_unit(middle);
}

void GroundFile::require_unit(const terrain::Ground& raw) const {
  const State& s = *state_;
  if (!s.unit) {
    throw detail::no_height_unit(s.source, s.band->GetUnitType() == nullptr ? "" : s.band->GetUnitType(),
                                 raw);
  }
}

void GroundFile::read(std::int64_t row0, std::int64_t rows, float* height_m, std::uint8_t* valid) {
  State& s = *state_;
  const std::int64_t cols = s.place.cols;
  const std::int64_t first = s.place.south_up ? s.place.rows - row0 - rows : row0;
  const std::int64_t at_once = std::clamp<std::int64_t>(kCellsAtOnce / cols, 1, rows);
  for (std::int64_t from = first; from < first + rows; from += at_once) {
    const std::int64_t n = std::min(at_once, first + rows - from);
    s.read_file_rows(from, n);
    for (std::int64_t i = 0; i < n; ++i) {
      const std::int64_t to = (s.row_of(from + i) - row0) * cols;
      s.take_row(i, from + i, height_m + to, valid + to);
    }
  }
  const bool is_new = row0 <= s.seen_rows && row0 + rows > s.seen_rows;
  if (is_new) {
    s.seen_rows = row0 + rows;
    if (s.seen_rows == s.place.rows) s.check_heights();
  }
}

GroundData read_ground(const GroundSource& source) {
  GroundFile file(source);
  const terrain::GridFrame frame = file.about().ground.frame;
  check_memory(source, frame);
  terrain::Ground ground{frame, terrain::Grid<float>(frame.rows, frame.cols),
                         terrain::Grid<std::uint8_t>(frame.rows, frame.cols)};
  file.read(0, frame.rows, ground.height_m.data(), ground.valid.data());
  file.require_unit(ground);
  GroundData data = file.about();
  data.ground = std::move(ground);
  return data;
}

GroundExtent ground_extent(const std::string& file) {
  const detail::DatasetPtr dataset = open_raster(file);
  const Place place = place_of(*dataset, file);
  detail::GdalMessages messages;
  GroundExtent extent;
  extent.projection = detail::checked_projection(dataset->GetSpatialRef(), at(file), place.centre());
  extent.frame = frame_of(place, extent.projection, file);
  return extent;
}

Projection ground_projection(const std::string& file) { return ground_extent(file).projection; }

base::Box GroundExtent::box() const {
  base::Box box;
  box.add({frame.west_m, frame.north_m});
  box.add({frame.west_m + static_cast<double>(frame.cols) * frame.cell_m,
           frame.north_m - static_cast<double>(frame.rows) * frame.cell_m});
  return box;
}

std::int64_t machine_memory_bytes() {
  return static_cast<std::int64_t>(sysconf(_SC_PHYS_PAGES)) * sysconf(_SC_PAGESIZE);
}

}  // namespace curbshed::geodata
