#include "curbshed/cli/write_results.hpp"

#include "curbshed/geodata/csv.hpp"
#include "curbshed/geodata/geopackage.hpp"
#include "curbshed/geodata/picture.hpp"
#include "curbshed/geodata/raster.hpp"
#include "curbshed/report/candidate_tables.hpp"
#include "curbshed/report/cautions.hpp"
#include "curbshed/report/checksum.hpp"
#include "curbshed/report/chosen.hpp"
#include "curbshed/report/layers.hpp"
#include "curbshed/report/lots.hpp"
#include "curbshed/report/page.hpp"
#include "curbshed/report/screening.hpp"
#include "curbshed/report/sheets.hpp"
#include "curbshed/report/side_tables.hpp"
#include "curbshed/report/summary.hpp"
#include "curbshed/terrain/hillshade.hpp"

#include <algorithm>
#include <atomic>
#include <filesystem>
#include <fstream>
#include <functional>
#include <iterator>
#include <limits>

namespace curbshed::cli {
namespace {

namespace fs = std::filesystem;
using geodata::Overviews;
using terrain::Grid;

void write_text(const fs::path& path, const std::string& text) {
  std::ofstream file(path, std::ios::binary);
  file << text;
  file.close();
  if (!file) {
    throw base::InputError({path.string(), "", ""}, "the file cannot be written",
                           "a place that you may write to", "check the permissions and the space left");
  }
}

void write_table(const fs::path& folder, const base::Table& table) {
  geodata::CsvInfo info;
  for (const auto& rule : report::digits_of(table)) {
    info.digits[rule.first] = rule.second;
  }
  geodata::write_csv((folder / (table.name + ".csv")).string(), table, info);
}

/// A grid as large as another whose every cell is value(that one's cell).
template <class To, class From, class Value>
Grid<To> each_cell(const Grid<From>& from, base::Workers workers, const Value& value) {
  constexpr std::int64_t kStripes = 64;
  auto to = Grid<To>::unwritten(from.rows(), from.cols());
  base::parallel_stripes(to.cells(), kStripes, workers, [&](std::int64_t begin, std::int64_t end) {
    for (std::int64_t cell = begin; cell < end; ++cell) {
      to[cell] = value(from[cell]);
    }
  });
  return to;
}

/// Compass bearing of each direction, −1 where water stops.
Grid<std::int16_t> bearings(const Grid<std::uint8_t>& directions, base::Workers workers) {
  constexpr int kDegrees = 45;
  return each_cell<std::int16_t>(directions, workers, [](std::uint8_t direction) {
    return static_cast<std::int16_t>(direction < terrain::kBearings ? direction * kDegrees : -1);
  });
}

Grid<std::int32_t> counts(const Grid<std::int64_t>& cells, base::Workers workers) {
  return each_cell<std::int32_t>(cells, workers, [](std::int64_t count) {
    base::ensure(count <= std::numeric_limits<std::int32_t>::max(), "cell counts fit the raster's type");
    return static_cast<std::int32_t>(count);
  });
}

Grid<std::uint8_t> known(const Grid<std::int32_t>& receivers, base::Workers workers) {
  return each_cell<std::uint8_t>(
      receivers, workers, [](std::int32_t receiver) { return static_cast<std::uint8_t>(receiver >= 0); });
}

void write_rasters(const fs::path& folder, const report::RunFacts& facts,
                   const geodata::Projection& projection, base::Workers workers,
                   const base::Progress& progress) {
  fs::create_directory(folder);
  const terrain::KeptGridMemory reuse;
  const terrain::Ground& ground = facts.inputs->ground;
  const study::MapProducts& maps = facts.preparation->maps;
  std::atomic<int> written{0};
  const auto write = [&](const char* name, const auto& grid, const Grid<std::uint8_t>& valid,
                         Overviews overviews, const char* description, const char* unit) {
    geodata::RasterInfo info;
    info.overviews = overviews;
    info.description = description;
    info.unit = unit;
    info.caution = report::cautions_line();
    info.workers = workers;
    geodata::write_raster((folder / name).string(), ground.frame, grid, valid, projection, info);
    progress.share(0.15 + 0.12 * ++written);
  };
  // Those that take longest first.
  const std::function<void()> rasters[] = {
      [&] {
        write("ground_used_m.tif", ground.height_m, ground.valid, Overviews::Average,
              "Height of the ground as used", "m");
      },
      [&] {
        write("travel_time_s.tif", maps.travel_time_s, ground.valid, Overviews::Average,
              "Time of travel to the gutter", "s");
      },
      [&] {
        write("cells_arriving.tif", counts(maps.street.cells_arriving, workers), ground.valid,
              Overviews::Nearest, "Cells that drain through each cell, itself included", "");
      },
      [&] {
        write("water_runs_toward_deg.tif", bearings(maps.street.directions, workers), ground.valid,
              Overviews::Nearest, "Compass bearing toward which water runs; -1 where it stops", "degree");
      },
      [&] {
        write("first_receiver.tif", maps.street.first_receiver, known(maps.street.first_receiver, workers),
              Overviews::Nearest,
              "Number of the place that each cell's water reaches first; see receiver in contributing_areas",
              "");
      },
      [&] {
        write("standing_water_m.tif", maps.street.standing_water_m, ground.valid, Overviews::Average,
              "Depth of kept sags at their spill level", "m");
      }};
  // Two at a time at most: each holds copies of a grid, and half of the work does not use several threads.
  constexpr int kAtOnce = 2;
  const auto count = static_cast<std::int64_t>(std::size(rasters));
  base::parallel_stripes(count, count, {std::min(kAtOnce, workers.threads)},
                         [&](std::int64_t i, std::int64_t) { rasters[i](); });
}

/// Fine enough for a screen, small enough to be sent by mail.
constexpr std::int64_t kMostPictureCells = 1200;
/// Streets are flat: without this the hillshade would be one grey.
constexpr double kReliefSteeper = 5.0;

report::PageMap page_map(const terrain::Ground& ground, base::Workers workers) {
  const terrain::Hillshade shade = terrain::hillshade(ground, kMostPictureCells, kReliefSteeper, workers);
  return {shade.frame, geodata::png_of(shade.light)};
}

}  // namespace

void write_results(const std::string& folder, const report::RunFacts& facts,
                   const geodata::Projection& projection, report::Units units, base::Workers workers,
                   const base::Progress& progress) {
  const fs::path out(folder);
  for (const report::Sheet& sheet :
       {report::cuts_sheet(facts), report::basins_sheet(facts), report::existing_basins_sheet(facts),
        report::outfalls_sheet(facts), report::inlets_sheet(facts), report::sags_sheet(facts),
        report::lots_sheet(facts)}) {
    write_table(out, report::table_of(sheet, facts));
  }
  write_table(out, report::reaches_table(facts));
  write_table(out, report::screening_table(facts));
  if (facts.candidates != nullptr) write_table(out, report::candidates_table(facts));
  write_table(out, report::choice_table(facts));
  write_table(out, report::corners_table(facts));
  write_table(out, report::passed_table(facts));
  write_table(out, report::set_aside_table(facts));
  geodata::GeoPackageInfo package;
  package.caution = report::cautions_line();
  geodata::write_geopackage((out / "curbshed.gpkg").string(), report::map_layers(facts), projection, package);
  progress.share(0.15);  // shares of the time as measured on a city
  write_rasters(out / "rasters", facts, projection, workers, progress);
  write_text(out / "summary.json", report::summary_json(facts));
  write_text(out / "report.html", report::page_html(facts, page_map(facts.inputs->ground, workers), units));
}

namespace {

/// Checksums of all files, by name.
std::vector<report::OutputFile> files_in(const fs::path& out) {
  std::vector<report::OutputFile> files;
  for (const fs::directory_entry& entry : fs::recursive_directory_iterator(out)) {
    const std::string name = fs::relative(entry.path(), out).generic_string();
    if (entry.is_regular_file() && name.front() != '.') {
      files.push_back({name, report::checksum_of_file(entry.path().string()).sha256});
    }
  }
  std::sort(files.begin(), files.end(),
            [](const report::OutputFile& a, const report::OutputFile& b) { return a.name < b.name; });
  return files;
}

}  // namespace

void write_records(const std::string& folder, const report::RunFacts& facts, const report::RunLog& log) {
  const fs::path out(folder);
  const std::vector<report::OutputFile> files = files_in(out);
  write_text(out / "run-log.json", report::run_log_json(log));
  write_text(out / "manifest.json", report::manifest_json(facts, files));
}

void write_ground_records(const std::string& folder, const report::GroundWaterFacts& facts,
                          const report::RunLog& log) {
  const fs::path out(folder);
  const std::vector<report::OutputFile> files = files_in(out);
  write_text(out / "run-log.json", report::run_log_json(log));
  write_text(out / "manifest.json", report::ground_manifest_json(facts, files));
}

}  // namespace curbshed::cli
