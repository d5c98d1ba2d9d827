// A real block as a study: nearly level brick streets, foreign attribute names, heights below zero, no curb
// layer.
#include "curbshed/geodata/ground.hpp"
#include "curbshed/geodata/layer.hpp"

#include "support/program.hpp"
#include "support/summary_schema.hpp"

#include <filesystem>
#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace curbshed::cli {
namespace {

using testing::Ran;
using testing::run_program;
using testing::TempFolder;

std::string block_folder() { return std::string(CURBSHED_SOURCE_DIR) + "/../shared/data/delft-nl-0.5m"; }

/// Cuts at the middles of the three longest curb lines that the map's makers derived.
std::string cuts_csv(const std::string& folder) {
  geodata::LayerSource source;
  source.file = folder + "/bgt.gpkg";
  source.layer = "curb_derived";
  source.where = "length_m > 45";
  const geodata::Projection projection = geodata::ground_projection(folder + "/dtm_0p5m_filled.tif");
  std::string text = "nr,x,y\n";
  int count = 0;
  for (const base::Shape& shape :
       geodata::read_layer(source, projection, base::ShapeKind::Line).layer.shapes) {
    const base::Polyline& line = shape.lines.front();
    const base::Point p = base::point_along(line, 0.5 * base::length_m(line));
    text += fmt::format("cut-{},{:.3f},{:.3f}\n", ++count, p.x_m, p.y_m);
  }
  EXPECT_EQ(count, 3);
  return text;
}

std::string study(const std::string& folder, const std::string& elevation) {
  return fmt::format(R"toml(format = 1
title = "A real block"
[ground]
elevation = "{0}/{1}"
height_unit = "m"
[street.pavement]
file = "{0}/bgt.gpkg"
layer = "wegdeel"
where = "function IN ('rijbaan lokale weg', 'parkeervlak')"
[street.cuts]
file = "cuts.csv"
fields = {{ id = "nr", x = "x", y = "y" }}
[lots]
default_surface = "yard_paving"
[lots.buildings]
file = "{0}/bgt.gpkg"
layer = "pand"
[lots.surfaces]
file = "{0}/bgt.gpkg"
layer = "begroeidterreindeel"
fields = {{ id = "lokaalid", surface = "bgt_status" }}
classes = {{ bestaand = "grass_fair" }}
[soil]
default_group = "B"
[rain]
two_year_1h = "14 mm"
ten_year_1h = "26 mm"
[basin]
infiltration = "20 mm/h"
infiltration_origin = "study"
)toml",
                     folder, elevation);
}

class RealBlockStudy : public ::testing::TestWithParam<const char*> {};

TEST_P(RealBlockStudy, RunsToTheEndAndItsWaterAddsUp) {
  const std::string data = block_folder();
  if (!std::filesystem::exists(data)) GTEST_SKIP() << "no folder " << data;
  const TempFolder folder;
  folder.write("cuts.csv", cuts_csv(data));
  folder.write("study.toml", study(data, GetParam()));
  const Ran ran = run_program(folder, "run study.toml --out out", "GDAL_PAM_ENABLED=NO");
  ASSERT_EQ(ran.exit_code, 0) << ran.err;
  EXPECT_NE(ran.out.find("Storm drains were not given"), std::string::npos) << ran.out;
  const std::string text = testing::read_text(folder.file("out/summary.json"));
  EXPECT_EQ(testing::schema_faults(text), "");
  const nlohmann::json summary = nlohmann::json::parse(text);
  const nlohmann::json manifest = nlohmann::json::parse(testing::read_text(folder.file("out/manifest.json")));
  ASSERT_GE(summary.at("cuts").size(), 3U);
  for (const nlohmann::json& cut : summary.at("cuts")) {
    EXPECT_GT(cut.at("area_arriving_m2").get<double>(), 0.0) << cut.at("id");
    const nlohmann::json& storm = cut.at("storms").at("two_year");
    EXPECT_LE(storm.at("captured_m3").get<double>(), storm.at("arriving_m3").get<double>() + 1e-9)
        << cut.at("id");
  }
  EXPECT_FALSE(manifest.at("ledgers").empty());
}

INSTANTIATE_TEST_SUITE_P(Grounds, RealBlockStudy,
                         ::testing::Values("dtm_0p5m_filled.tif", "dtm_0p5m_nodata.tif"),
                         [](const auto& each) {
                           return std::string(each.index == 0 ? "Filled" : "HolesUnderHouses");
                         });

}  // namespace
}  // namespace curbshed::cli
