// Reads the elevation model.
#pragma once

#include "curbshed/base/notes.hpp"
#include "curbshed/geodata/projection.hpp"
#include "curbshed/terrain/bands.hpp"
#include "curbshed/terrain/grid.hpp"

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace curbshed::geodata {

struct GroundSource {
  std::string file = {};         ///< anything GDAL opens, /vsi… included
  std::string height_unit = {};  ///< the study's: "m", "ft", "usft"; "" = from the file
  /// Street pavement in metres. Only for the message that is given when no unit is known: with it the grades
  /// are those of the streets, else those of the ground.
  std::vector<base::Polygon> streets = {};
  /// Only the cells that meet this box (metres) are read; absent = the whole raster.
  std::optional<base::Box> window = {};
  std::int64_t bytes_a_cell = 0;        ///< what the whole run needs, for the memory check
  std::int64_t bytes_besides = 0;       ///< and in any case
  std::int64_t memory_limit_bytes = 0;  ///< 0 = the machine's memory
  std::string unit_advice = {};         ///< what to do when no unit is known; "" = the line for the study
};

enum class HeightUnitOrigin : std::uint8_t { Band, VerticalSystem, Study };

struct GroundData {
  terrain::Ground ground;
  Projection projection;
  std::string height_unit;  ///< "m", "ft" or "usft"
  double metres_per_height_unit = 1.0;
  HeightUnitOrigin height_unit_origin = HeightUnitOrigin::Band;
  std::string height_unit_evidence;  ///< "the band's unit is \"ft\""
  std::string format;                ///< GDAL's name of the format
  std::int64_t cells_without_height = 0;
  float lowest_m = 0.0F;
  float highest_m = 0.0F;
  bool turned_north_up = false;  ///< the file's first row was the southern one
  base::Notes notes;             ///< HeightUnitFromStudy
};

/// One band of heights on square cells of 0.05 m to 30 m. Heights are only multiplied by their unit, never
/// transformed. Height unit: the band's → the vertical coordinate system's → `height_unit` → none: an
/// InputError that prints the height range and the middle grade under each reading and the line to paste into
/// the study. A study unit that contradicts the file is an InputError that names both. No height: the
/// declared no-data value, the file's mask, NaN. InputErrors: no such file; not a raster; several bands, a
/// colour table, complex numbers; no place on Earth, turned or sheared rasters, cells that are not square;
/// see also read_projection; a window that does not meet the raster; size beyond the memory; no height at
/// all; infinite heights; heights outside −500 m to 9000 m (an undeclared no-data value or a wrong unit). May
/// be called by several threads at once.
GroundData read_ground(const GroundSource& source);

/// An elevation model that is read by rows, as read_ground reads it whole; memory_limit_bytes is not looked
/// at. The constructor throws what read_ground throws without looking at heights. What is told of the
/// heights, and what is wrong with them, comes when the last row has been read for the first time; rows are
/// read first from the top down. Not for several threads at once.
class GroundFile : public terrain::GroundRows {
 public:
  explicit GroundFile(const GroundSource& source);
  ~GroundFile() override;
  GroundFile(const GroundFile&) = delete;
  GroundFile& operator=(const GroundFile&) = delete;

  /// `ground` holds the frame only. height_unit is "" when no unit is known.
  const GroundData& about() const;
  /// Bytes of the rows of blocks that a read of few rows decodes at once.
  std::int64_t block_row_bytes() const;
  /// The InputError of read_ground for heights without a unit; looks at rows in the middle.
  void require_unit();
  /// The same error, from heights that were read.
  void require_unit(const terrain::Ground& raw) const;
  void read(std::int64_t row0, std::int64_t rows, float* height_m, std::uint8_t* valid) override;

 private:
  struct State;
  std::unique_ptr<State> state_;
};

/// Where a raster lies, without reading its heights. Same errors as read_ground for file, place and system.
struct GroundExtent {
  Projection projection;
  terrain::GridFrame frame;  ///< of the whole file
  base::Box box() const;
};
GroundExtent ground_extent(const std::string& file);
Projection ground_projection(const std::string& file);

/// The machine's memory in bytes.
std::int64_t machine_memory_bytes();

/// The median over the raster of |height difference| / distance, between valid cells `run_m` apart to the
/// east and to the south, in height units a metre. With `street` (same size, 0 = not street) only pairs of
/// two street cells count. 0 when there is no pair. At most 400 000 pairs, on a regular pattern.
double middle_grade(const terrain::Ground& ground, double run_m, const terrain::Grid<std::uint8_t>& street);

}  // namespace curbshed::geodata
