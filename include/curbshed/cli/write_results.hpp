// All files of a run, in one folder.
#pragma once

#include "curbshed/base/parallel.hpp"
#include "curbshed/base/progress.hpp"
#include "curbshed/geodata/projection.hpp"
#include "curbshed/report/facts.hpp"
#include "curbshed/report/ground_manifest.hpp"
#include "curbshed/report/manifest.hpp"

#include <string>

namespace curbshed::cli {

/// cuts.csv basins.csv outfalls.csv inlets.csv sags.csv screening.csv passed_hollows.csv set_aside.csv
/// curbshed.gpkg rasters/*.tif summary.json report.html. Every file holds the same bytes for the same inputs.
void write_results(const std::string& folder, const report::RunFacts& facts,
                   const geodata::Projection& projection, report::Units units, base::Workers workers,
                   const base::Progress& progress);

/// manifest.json (with a checksum of each file that is in `folder`) and run-log.json. Last of all.
void write_records(const std::string& folder, const report::RunFacts& facts, const report::RunLog& log);

/// The same for the ground's water alone.
void write_ground_records(const std::string& folder, const report::GroundWaterFacts& facts,
                          const report::RunLog& log);

}  // namespace curbshed::cli
