#include "curbshed/cli/ground_command.hpp"

#include "curbshed/base/version.hpp"
#include "curbshed/cli/interrupt.hpp"
#include "curbshed/cli/memory_size.hpp"
#include "curbshed/cli/run_command.hpp"
#include "curbshed/cli/version_text.hpp"
#include "curbshed/cli/write_results.hpp"
#include "curbshed/geodata/ground.hpp"
#include "curbshed/geodata/output_folder.hpp"
#include "curbshed/geodata/raster.hpp"
#include "curbshed/geodata/scratch_file.hpp"
#include "curbshed/report/cautions.hpp"
#include "curbshed/report/checksum.hpp"
#include "curbshed/report/ground_manifest.hpp"
#include "curbshed/terrain/directions.hpp"

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <limits>
#include <memory>

#include <fmt/format.h>
#include <malloc.h>

namespace curbshed::cli {
namespace {

namespace fs = std::filesystem;
using base::InputError;
using terrain::GridFrame;

/// The program with its libraries and one open raster, as measured.
constexpr std::int64_t kProgramBytes = 60'000'000;

/// Results in memory, where they fit.
class MemoryStore : public terrain::ByteStore {
 public:
  void write(std::int64_t at, const void* bytes, std::int64_t count) override {
    const auto end = static_cast<std::size_t>(at + count);
    if (bytes_.size() < end) bytes_.resize(end, 0);
    std::copy_n(static_cast<const char*>(bytes), count, bytes_.begin() + at);
  }
  void read(std::int64_t at, void* bytes, std::int64_t count) override {
    std::copy_n(bytes_.begin() + at, count, static_cast<char*>(bytes));
  }

 private:
  std::vector<char> bytes_;
};

using Store = std::unique_ptr<terrain::ByteStore>;
struct Stores {
  Store directions;
  Store standing_m;
  Store counts;
};

class GroundRun {
 public:
  GroundRun(const Options& options, Console& console, geodata::GroundFile& file, std::string folder,
            int threads)
      : options_(options),
        console_(console),
        file_(file),
        frame_(file.about().ground.frame),
        folder_(std::move(folder)),
        threads_(threads) {}

  void follow(const GroundWork& work) {
    console_.step("following the water on the ground");
    stores_.directions = store(work);
    stores_.standing_m = store(work);
    stores_.counts = store(work);
    const Store notes = store(work);
    const std::int64_t rows = work.band_rows > 0 ? work.band_rows : frame_.rows;
    facts_ = terrain::follow_water_in_bands(
        frame_, file_, {*stores_.directions, *stores_.standing_m, *stores_.counts, *notes},
        {rows, threads_, [this](double share) { console_.share(share); }});
    console_.tell(fmt::format(
        "at most {:.0f} MB so far; {} band{}; ponds across bands: {} cells, {} sweeps over {} bands",
        peak_memory_mb(), facts_.bands, facts_.bands == 1 ? "" : "s", facts_.cells_across, facts_.pond_sweeps,
        facts_.pond_bands));
  }

  void write(const GroundWork& work) {
    console_.step("writing the rasters");
    geodata::limit_block_cache(work.writing_cache_bytes);
    writers_ = work.writers;
    fs::create_directory(fs::path(folder_) / "rasters");
    write_standing();
    stores_.standing_m.reset();
    write_counts();
    stores_.counts.reset();
    write_directions();
    stores_.directions.reset();
    console_.finish();
  }

  report::GroundWaterFacts facts() const {
    const geodata::GroundData& about = file_.about();
    report::GroundWaterFacts facts;
    facts.version = base::version();
    facts.libraries = all_library_versions();
    facts.file.role = "elevation";
    const std::size_t colon = options_.elevation.find(':');
    // A connection text may hold a password, a folder a user's name.
    facts.file.file = colon == std::string::npos ? fs::path(options_.elevation).filename().string()
                                                 : options_.elevation.substr(0, colon);
    std::error_code ignored;
    if (fs::is_regular_file(options_.elevation, ignored)) {
      const report::FileChecksum sum = report::checksum_of_file(options_.elevation);
      facts.file.sha256 = sum.sha256;
      facts.file.bytes = sum.bytes;
    }
    facts.rows = frame_.rows;
    facts.cols = frame_.cols;
    facts.cell_m = frame_.cell_m;
    facts.crs_name = about.projection.name;
    facts.crs_code = about.projection.code;
    facts.crs_unit = about.projection.unit;
    facts.height_unit = about.height_unit;
    facts.height_evidence = about.height_unit_evidence;
    facts.cells_without_height = about.cells_without_height;
    facts.lowest_m = static_cast<double>(about.lowest_m);
    facts.highest_m = static_cast<double>(about.highest_m);
    facts.wet_cells = facts_.wet_cells;
    facts.standing_m3 = facts_.standing_m * frame_.cell_area_m2();
    facts.deepest_m = static_cast<double>(facts_.deepest_m);
    return facts;
  }

 private:
  Store store(const GroundWork& work) const {
    if (work.band_rows > 0) return std::make_unique<geodata::ScratchFile>(folder_);
    return std::make_unique<MemoryStore>();
  }

  geodata::RasterInfo info(geodata::Overviews overviews, const char* description, const char* unit) {
    geodata::RasterInfo info;
    info.overviews = overviews;
    info.description = description;
    info.unit = unit;
    info.caution = report::cautions_line();
    info.workers = {std::min(threads_, writers_)};
    return info;
  }
  void write_rows(const char* name, geodata::CellType type, const geodata::FillRow& fill,
                  const geodata::RasterInfo& about) {
    geodata::write_raster_rows((fs::path(folder_) / "rasters" / name).string(), frame_, type, fill,
                               file_.about().projection, about);
    ++written_;
    console_.share(static_cast<double>(written_) / 3.0);
  }
  /// Directions of a row, kept until another row is asked for.
  const std::vector<std::uint8_t>& directions_of(std::int64_t row) {
    directions_.resize(static_cast<std::size_t>(frame_.cols));
    stores_.directions->read(frame_.index(row, 0), directions_.data(), frame_.cols);
    return directions_;
  }

  void write_standing() {
    const geodata::RasterInfo about =
        info(geodata::Overviews::Average, "Depth of water that stands before it finds a way out", "m");
    write_rows(
        "standing_water_m.tif", geodata::CellType::Float32,
        [&](std::int64_t row, void* cells) {
          auto* depth_m = static_cast<float*>(cells);
          stores_.standing_m->read(4 * frame_.index(row, 0), depth_m, 4 * frame_.cols);
          const std::vector<std::uint8_t>& directions = directions_of(row);
          for (std::size_t c = 0; c < directions.size(); ++c) {
            if (directions[c] == terrain::kNoGround) depth_m[c] = static_cast<float>(about.nodata);
          }
        },
        about);
  }

  void write_counts() {
    const bool wide = frame_.cells() > std::numeric_limits<std::int32_t>::max();
    const int bytes = terrain::bytes_a_count(frame_);
    const geodata::RasterInfo about =
        info(geodata::Overviews::Nearest, "Cells that drain through each cell, itself included", "");
    std::vector<std::uint32_t> narrow(static_cast<std::size_t>(frame_.cols));
    std::vector<std::int64_t> counts(narrow.size());
    const auto read = [&](std::int64_t row) {
      if (bytes == 8) {
        stores_.counts->read(8 * frame_.index(row, 0), counts.data(), 8 * frame_.cols);
        return;
      }
      stores_.counts->read(4 * frame_.index(row, 0), narrow.data(), 4 * frame_.cols);
      std::copy(narrow.begin(), narrow.end(), counts.begin());
    };
    const auto put = [&](auto* cells) {
      for (std::size_t c = 0; c < counts.size(); ++c) {
        // Each cell with data drains through itself.
        cells[c] = static_cast<std::remove_pointer_t<decltype(cells)>>(
            counts[c] > 0 ? static_cast<double>(counts[c]) : about.nodata);
      }
    };
    write_rows(
        "cells_arriving.tif", wide ? geodata::CellType::Float64 : geodata::CellType::Int32,
        [&](std::int64_t row, void* cells) {
          read(row);
          if (wide) {
            put(static_cast<double*>(cells));
          } else {
            put(static_cast<std::int32_t*>(cells));
          }
        },
        about);
  }

  void write_directions() {
    const geodata::RasterInfo about = info(
        geodata::Overviews::Nearest, "Compass bearing toward which water runs; -1 where it stops", "degree");
    write_rows(
        "water_runs_toward_deg.tif", geodata::CellType::Int16,
        [&](std::int64_t row, void* cells) {
          constexpr int kDegrees = 45;
          auto* bearing = static_cast<std::int16_t*>(cells);
          const std::vector<std::uint8_t>& directions = directions_of(row);
          for (std::size_t c = 0; c < directions.size(); ++c) {
            const std::uint8_t d = directions[c];
            const int degrees = d < terrain::kBearings ? d * kDegrees : -1;
            bearing[c] = static_cast<std::int16_t>(d == terrain::kNoGround ? about.nodata : degrees);
          }
        },
        about);
  }

  const Options& options_;
  Console& console_;
  geodata::GroundFile& file_;
  GridFrame frame_;
  std::string folder_;
  int threads_;
  Stores stores_;
  terrain::BandFacts facts_;
  std::vector<std::uint8_t> directions_;
  int written_ = 0;
  int writers_ = 1;
};

void refuse_what_does_not_fit(const Options& options, const GridFrame& frame, const GroundWork& work,
                              std::int64_t limit) {
  const base::Where where{options.elevation, "", ""};
  if (work.band_rows == 0 && work.whole_bytes > limit) {
    throw InputError(
        where,
        fmt::format("{} x {} cells need at least {} of memory, in bands of one row", frame.cols, frame.rows,
                    memory_words(static_cast<double>(work.least_bytes))),
        fmt::format("{}{}", memory_words(static_cast<double>(limit)),
                    options.memory_bytes ? " (--memory)" : ", the memory there is"),
        "allow more with --memory, or take a narrower raster or larger cells (gdalwarp -te, -tr)");
  }
  const std::int64_t room = geodata::free_bytes(options.out);
  if (work.band_rows > 0 && work.scratch_bytes > room) {
    throw InputError(
        where,
        fmt::format("{} x {} cells in bands need {} of temporary data beside the output", frame.cols,
                    frame.rows, memory_words(static_cast<double>(work.scratch_bytes))),
        fmt::format("{}, the free space there", memory_words(static_cast<double>(room))),
        "free some space, choose an output folder on another disk, or allow more --memory");
  }
}

std::string page(const report::GroundWaterFacts& facts) {
  const double cells = static_cast<double>(facts.rows * facts.cols - facts.cells_without_height);
  return fmt::format(
      "{}: {} x {} cells of {:g} m, {:.2f} m to {:.2f} m high, {} cells without height\n"
      "Heights in {} ({}); reference system {}.\n"
      "Water stands on {:.2f} % of the cells before it finds a way out: {:.4g} m3 in all, {:.3f} m deep at "
      "the "
      "deepest.\n"
      "No streets, curbs or drains were looked at. {}\n",
      facts.file.file, facts.cols, facts.rows, facts.cell_m, facts.lowest_m, facts.highest_m,
      facts.cells_without_height, facts.height_unit, facts.height_evidence, facts.crs_name,
      100.0 * static_cast<double>(facts.wet_cells) / std::max(cells, 1.0), facts.standing_m3, facts.deepest_m,
      report::cautions().front());
}

}  // namespace

GroundWork plan_ground_work(const GridFrame& frame, std::int64_t block_row_bytes, std::int64_t limit_bytes) {
  constexpr std::int64_t kNotesAColumn = 150;  // of each band
  constexpr std::int64_t kLeastCache = 4'000'000;
  GroundWork work;
  const std::int64_t results = 5 + terrain::bytes_a_count(frame);
  const std::int64_t columns = frame.cols * terrain::kBytesAColumn;
  const std::int64_t free = limit_bytes - kProgramBytes - columns;
  work.cache_bytes =
      std::clamp(block_row_bytes + block_row_bytes / 8, kLeastCache, std::max(kLeastCache, free / 4));
  // The coarser views are made and packed from blocks of 512 rows; each packing thread holds some of them.
  constexpr std::int64_t kBytesAWriter = 30'000'000;
  work.writing_cache_bytes = std::clamp(frame.cols * 512 * 8, kLeastCache, std::max(kLeastCache, free / 6));
  work.writers = static_cast<int>(std::clamp<std::int64_t>(free / 3 / kBytesAWriter, 1, 256));
  const std::int64_t fixed = kProgramBytes + columns + work.cache_bytes;
  work.whole_bytes = fixed + frame.cells() * (terrain::kBytesABandCell + results);
  work.least_bytes = kProgramBytes + columns + kLeastCache + frame.cols * terrain::kBytesABandCell;
  if (work.whole_bytes <= limit_bytes) {
    return work;
  }
  work.band_rows = std::max<std::int64_t>(0, (limit_bytes - fixed) / (frame.cols * terrain::kBytesABandCell));
  if (work.band_rows > 0) {
    const std::int64_t bands = (frame.rows + work.band_rows - 1) / work.band_rows;
    work.scratch_bytes = frame.cells() * (results + 1) + bands * frame.cols * kNotesAColumn;
  }
  return work;
}

int ground_command(const Options& options, Console& console) {
  // What is freed goes back to the system: else each band leaves its holes.
  ::mallopt(M_MMAP_THRESHOLD, 1 << 20);
  const ThreadChoice choice = choose_threads(options, std::getenv("CURBSHED_THREADS"));
  const std::int64_t limit = options.memory_bytes.value_or(geodata::machine_memory_bytes());
  console.step("opening the elevation model");
  geodata::check_output_request({options.out, options.overwrite});
  geodata::GroundSource source;
  source.file = options.elevation;
  source.height_unit = options.height_unit;
  source.unit_advice = "say which it is: --height-unit m, ft or usft (US survey feet)";
  geodata::GroundFile file(source);
  const GridFrame frame = file.about().ground.frame;
  const GroundWork work = plan_ground_work(frame, file.block_row_bytes(), limit);
  console.tell(fmt::format(
      "the whole raster needs {} of memory, {} are allowed: {}",
      memory_words(static_cast<double>(work.whole_bytes)), memory_words(static_cast<double>(limit)),
      work.band_rows == 0 ? std::string("in memory")
                          : fmt::format("bands of {} rows, {} of temporary data", work.band_rows,
                                        memory_words(static_cast<double>(work.scratch_bytes)))));
  refuse_what_does_not_fit(options, frame, work, limit);
  geodata::limit_block_cache(work.cache_bytes);
  file.require_unit();

  std::unique_ptr<geodata::OutputFolder> folder;
  std::unique_ptr<InterruptGuard> guard;
  {
    const HoldInterrupts hold;
    folder = std::make_unique<geodata::OutputFolder>(geodata::OutputRequest{options.out, options.overwrite});
    guard = std::make_unique<InterruptGuard>(*folder);
  }
  GroundRun run(options, console, file, folder->partial(), choice.threads);
  run.follow(work);
  run.write(work);
  const report::GroundWaterFacts facts = run.facts();
  write_ground_records(folder->partial(), facts,
                       {choice.threads, choice.origin, console.seconds(), peak_memory_mb()});
  folder->commit();
  console.print(page(facts));
  return kDone;
}

}  // namespace curbshed::cli
