// `curbshed ground` in memory and in bands.
#include "curbshed/cli/ground_command.hpp"

#include "curbshed/terrain/directions.hpp"

#include "support/drawn_ground.hpp"
#include "support/program.hpp"
#include "support/small_rasters.hpp"
#include "support/small_study.hpp"

#include <cmath>
#include <filesystem>

#include <nlohmann/json.hpp>
#include <signal.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

namespace curbshed::cli {
namespace {

using namespace curbshed::testing;
namespace fs = std::filesystem;

constexpr const char* kRasters[] = {"standing_water_m.tif", "water_runs_toward_deg.tif",
                                    "cells_arriving.tif"};

/// A rough slope with hollows and some cells without height.
std::vector<double> rough_cells(int rows, int cols) {
  Chance chance(17);
  std::vector<double> cells;
  for (int r = 0; r < rows; ++r) {
    for (int c = 0; c < cols; ++c) {
      const double hills = 2.0 * std::sin(r / 9.0) * std::cos(c / 11.0);
      const double height = 100.0 - 0.02 * r - 0.01 * c + hills + 0.02 * chance.bell();
      cells.push_back(chance.below(500) == 0 ? -9999.0 : std::round(100.0 * height) / 100.0);
    }
  }
  return cells;
}

std::string make_rough(const TempFolder& folder, int rows, int cols) {
  SmallRaster raster;
  raster.cols = cols;
  raster.cells = rough_cells(rows, cols);
  raster.unit = "m";
  raster.nodata = -9999.0;
  return make_raster(folder.file("dem.tif"), raster);
}

template <class T>
std::vector<T> read_cells(const std::string& path, GDALDataType type) {
  GDALDataset* file = static_cast<GDALDataset*>(GDALOpen(path.c_str(), GA_ReadOnly));
  const int nx = file->GetRasterXSize();
  const int ny = file->GetRasterYSize();
  std::vector<T> cells(static_cast<std::size_t>(nx) * static_cast<std::size_t>(ny));
  EXPECT_EQ(
      file->GetRasterBand(1)->RasterIO(GF_Read, 0, 0, nx, ny, cells.data(), nx, ny, type, 0, 0, nullptr),
      CE_None);
  GDALClose(file);
  return cells;
}

TEST(GroundCommand, WritesWhatTheTerrainFunctionsGive) {
  const TempFolder folder;
  make_rough(folder, 120, 90);
  const Ran ran = run_program(folder, "ground dem.tif --out out");
  ASSERT_EQ(ran.exit_code, kDone) << ran.err;
  EXPECT_EQ(ran.err, "");
  EXPECT_NE(ran.out.find("Water stands on"), std::string::npos);

  terrain::Ground ground = level_ground(120, 90, 0.5);
  const std::vector<double> cells = rough_cells(120, 90);
  for (std::int64_t i = 0; i < ground.frame.cells(); ++i) {
    const auto height = static_cast<float>(cells[static_cast<std::size_t>(i)]);
    ground.valid[i] = height > -9000.0F ? 1 : 0;
    ground.height_m[i] = height > -9000.0F ? height : 0.0F;
  }
  const auto levels = terrain::water_levels(ground, {}, {}, {});
  const auto directions = terrain::flow_directions(ground, levels, {}, {}, {});
  const auto counts = terrain::cells_arriving(directions, {});
  const auto depth = read_cells<float>(folder.file("out/rasters/standing_water_m.tif"), GDT_Float32);
  const auto bearing =
      read_cells<std::int16_t>(folder.file("out/rasters/water_runs_toward_deg.tif"), GDT_Int16);
  const auto arriving = read_cells<std::int32_t>(folder.file("out/rasters/cells_arriving.tif"), GDT_Int32);
  for (std::int64_t i = 0; i < ground.frame.cells(); ++i) {
    const auto n = static_cast<std::size_t>(i);
    const bool known = ground.valid[i] != 0;
    const int d = directions[i];
    ASSERT_EQ(depth[n], known ? levels[i] - ground.height_m[i] : -9999.0F) << i;
    ASSERT_EQ(bearing[n], !known ? -9999 : d < terrain::kBearings ? 45 * d : -1) << i;
    ASSERT_EQ(arriving[n], known ? counts[i] : -9999) << i;
  }
}

TEST(GroundCommand, BandsAndThreadsGiveTheSameBytesAndLeaveNoTemporaryData) {
  const TempFolder folder;
  make_rough(folder, 700, 600);
  ASSERT_EQ(run_program(folder, "ground dem.tif --out whole --threads 1").exit_code, kDone);
  int number = 0;
  for (const char* flags :
       {"--memory 66MB --threads 1", "--memory 70MB --threads 2", "--memory 64.3MB --threads 4"}) {
    const std::string out = "bands" + std::to_string(number++);
    const Ran ran = run_program(folder, "ground dem.tif -v " + std::string(flags) + " --out " + out);
    ASSERT_EQ(ran.exit_code, kDone) << ran.err;
    EXPECT_NE(ran.err.find("of temporary data"), std::string::npos) << ran.err;
    for (const char* name : kRasters) {
      EXPECT_EQ(read_text(folder.file(out + "/rasters/" + name)),
                read_text(folder.file(std::string("whole/rasters/") + name)))
          << name << " " << flags;
    }
    EXPECT_EQ(read_text(folder.file(out + "/manifest.json")), read_text(folder.file("whole/manifest.json")));
    EXPECT_FALSE(fs::exists(folder.file(out + ".partial")));
  }
}

/// Most memory that a child has had, in bytes.
double peak_of_child(const TempFolder& folder, const std::vector<std::string>& words, int& exit_code) {
  const pid_t child = ::fork();
  if (child == 0) {
    std::vector<char*> arguments;
    for (const std::string& word : words) arguments.push_back(const_cast<char*>(word.c_str()));
    arguments.push_back(nullptr);
    if (::chdir(folder.path().c_str()) == 0) ::execv(CURBSHED_PROGRAM, arguments.data());
    ::_exit(99);
  }
  int status = 0;
  struct rusage usage {};
  ::wait4(child, &status, 0, &usage);
  exit_code = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  return 1024.0 * static_cast<double>(usage.ru_maxrss);
}

TEST(GroundCommand, StaysWithinAMemoryThatIsFarTooSmallForTheWhole) {
  const TempFolder folder;
  make_rough(folder, 3000, 1500);
  int exit_code = 0;
  const double peak = peak_of_child(
      folder, {"curbshed", "ground", "dem.tif", "--out", "out", "--memory", "90MB", "--threads", "2", "-q"},
      exit_code);
  EXPECT_EQ(exit_code, kDone);
  EXPECT_LE(peak, 90e6);
}

TEST(GroundCommand, TooLittleMemoryIsRefusedBeforeAnythingIsMade) {
  const TempFolder folder;
  make_rough(folder, 50, 60);
  const Ran ran = run_program(folder, "ground dem.tif --out out --memory 20MB");
  EXPECT_EQ(ran.exit_code, kBadInput);
  EXPECT_NE(ran.err.find("60 x 50 cells need at least"), std::string::npos) << ran.err;
  EXPECT_NE(ran.err.find("Allowed: 20 MB (--memory)"), std::string::npos) << ran.err;
  EXPECT_FALSE(fs::exists(folder.file("out")));
}

TEST(GroundCommand, ARunThatNeedsMoreThanItMayTakeIsRefusedBeforeItIsRead) {
  const TempFolder folder;
  SmallStudy::write(folder);
  folder.write("study.toml", SmallStudy::study());
  const Ran ran = run_program(folder, "run study.toml --out out --memory 100MB");
  EXPECT_EQ(ran.exit_code, kBadInput);
  EXPECT_NE(
      ran.err.find(
          "60 x 40 cells need about 120 MB of memory. Allowed: 100 MB, as --memory says. Do: give the study"),
      std::string::npos)
      << ran.err;
  EXPECT_FALSE(fs::exists(folder.file("out")));
  EXPECT_EQ(run_program(folder, "run study.toml --out out --memory 1GB").exit_code, kDone);
  EXPECT_NE(run_program(folder, "check study.toml").out.find("at most about 12"), std::string::npos);
}

TEST(GroundCommand, BrokenInputsAreNamedAndLeaveNothing) {
  const TempFolder folder;
  SmallRaster raster;
  make_raster(folder.file("no-unit.tif"), raster);
  raster.unit = "m";
  raster.cells = {1, 2, 3, 4, 5, 9999};
  make_raster(folder.file("odd.tif"), raster);
  raster.nodata = 9999.0;
  raster.cells.assign(6, 9999.0);
  make_raster(folder.file("empty.tif"), raster);
  const std::pair<const char*, const char*> cases[] = {
      {"none.tif", "there is no such file"},
      {"no-unit.tif", "--height-unit m, ft or usft"},
      {"odd.tif", "declare it (gdal_edit.py -a_nodata 9999 FILE)"},
      {"empty.tif", "no cell of the raster holds a height"}};
  for (const auto& [file, words] : cases) {
    const Ran ran = run_program(folder, std::string("ground ") + file + " --out out");
    EXPECT_EQ(ran.exit_code, kBadInput) << file;
    EXPECT_NE(ran.err.find(words), std::string::npos) << ran.err;
    EXPECT_FALSE(fs::exists(folder.file("out"))) << file;
    EXPECT_FALSE(fs::exists(folder.file("out.partial"))) << file;
  }
  EXPECT_EQ(run_program(folder, "ground no-unit.tif --height-unit ft --out out").exit_code, kDone);
}

TEST(GroundCommand, CommandLinesThatAreWrong) {
  const TempFolder folder;
  for (const char* line :
       {"ground", "ground dem.tif", "ground dem.tif --out o --memory 12",
        "ground dem.tif --out o --memory lots", "ground dem.tif --out o --height-unit yard"}) {
    EXPECT_EQ(run_program(folder, line).exit_code, kBadCommandLine) << line;
  }
  EXPECT_NE(run_program(folder, "ground --help").out.find("--height-unit"), std::string::npos);
}

TEST(GroundCommand, AnInterruptLeavesNothing) {
  const TempFolder folder;
  make_rough(folder, 1500, 1500);
  for (const int wait_ms : {100, 400, 1200}) {
    const pid_t child = ::fork();
    if (child == 0) {
      if (::chdir(folder.path().c_str()) == 0) {
        ::execl(CURBSHED_PROGRAM, "curbshed", "ground", "dem.tif", "--out", "out", "--memory", "80MB", "-q",
                static_cast<char*>(nullptr));
      }
      ::_exit(99);
    }
    ::usleep(static_cast<useconds_t>(1000 * wait_ms));
    ::kill(child, SIGINT);
    int status = 0;
    ::waitpid(child, &status, 0);
    if (WIFEXITED(status) && WEXITSTATUS(status) == kDone) break;  // a fast machine was done before
    const bool not_begun = WIFSIGNALED(status) && WTERMSIG(status) == SIGINT;
    EXPECT_TRUE(not_begun || (WIFEXITED(status) && WEXITSTATUS(status) == kInterrupted)) << status;
    for (const fs::directory_entry& entry : fs::directory_iterator(folder.path())) {
      EXPECT_EQ(entry.path().filename(), "dem.tif") << "after " << wait_ms << " ms";
    }
  }
}

TEST(PlanGroundWork, BandsGrowWithTheMemoryAndNeedNoneWhereTheWholeFits) {
  const terrain::GridFrame frame{0.0, 0.0, 1.0, 50000, 50000};
  EXPECT_EQ(plan_ground_work(frame, 0, 20'000'000).band_rows, 0);
  const GroundWork small = plan_ground_work(frame, 0, 500'000'000);
  const GroundWork large = plan_ground_work(frame, 0, 2'500'000'000);
  EXPECT_GT(small.band_rows, 0);
  EXPECT_GT(large.band_rows, small.band_rows);
  EXPECT_GT(small.scratch_bytes, 9 * frame.cells());
  const GroundWork whole = plan_ground_work(frame, 0, 1'000'000'000'000);
  EXPECT_EQ(whole.band_rows, 0);
  EXPECT_LE(whole.whole_bytes, 1'000'000'000'000);
}

}  // namespace
}  // namespace curbshed::cli
