// What a run has found, gathered for every page and file; and the few sums that sentences need.
#pragma once

#include "curbshed/base/notes.hpp"
#include "curbshed/base/table.hpp"
#include "curbshed/report/display.hpp"
#include "curbshed/siting/candidates_model.hpp"
#include "curbshed/siting/chosen_cuts.hpp"
#include "curbshed/siting/full_levels.hpp"
#include "curbshed/siting/screening.hpp"
#include "curbshed/study/preparation.hpp"
#include "curbshed/study/storm.hpp"
#include "curbshed/study/yearly_water.hpp"

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace curbshed::report {

/// A file that was read.
struct InputFile {
  std::string role;  ///< study key: "ground.elevation", "street.curbs"
  std::string file;  ///< as in the study; only the name when it lies outside the study's folder
  std::string layer;
  std::string sha256;  ///< "" for what is no plain file
  std::int64_t bytes = 0;
  std::int64_t features = -1;  ///< −1 for rasters
  std::int64_t set_aside = 0;
  std::string crs;
  std::int64_t outside = 0;  ///< left out: outside the study's place
};

struct SetAsideFeature {
  std::string layer;  ///< study key
  std::string id;
  std::string reason;
  base::Shape shape = {};  ///< where it could be read
};

/// WGS 84 (EPSG:4326).
struct Degrees {
  double longitude = 0.0;
  double latitude = 0.0;
};

/// Everything a page or file needs. The pointers outlive it.
struct RunFacts {
  std::string version;
  std::vector<std::pair<std::string, std::string>> libraries;
  const study::Settings* settings = nullptr;
  const study::StudyInputs* inputs = nullptr;
  const study::Preparation* preparation = nullptr;
  const std::vector<study::StormComparison>* storms = nullptr;
  const study::YearlyWater* year = nullptr;              ///< nullptr: the study gives no months
  const siting::Screening* screening = nullptr;          ///< nullptr: not screened
  const siting::CandidateResults* candidates = nullptr;  ///< nullptr: the study asks for none
  const siting::FullLevels* full = nullptr;              ///< nullptr: not looked at
  const siting::ChosenCuts* chosen = nullptr;            ///< nullptr: every cut of the study is built
  std::string crs_name;
  std::string crs_code;
  std::string crs_unit;  ///< "m", "ft", "usft"
  double metres_per_unit = 1.0;
  std::string height_unit;
  std::string height_evidence;
  bool strict = false;
  std::vector<std::optional<Degrees>> degrees;  ///< per node; empty = not known
  std::vector<InputFile> files;
  std::vector<SetAsideFeature> set_aside;
};

/// Peaks that differ by less than this share are no useful change (a ruling of the project, see
/// docs/methods.md).
inline constexpr double kUsefulChange = 0.02;
/// A rise is named from this share on: less is rounding.
inline constexpr double kNamedRise = 0.001;

/// A peak without and with the cuts.
struct PeakChange {
  std::int32_t node = -1;  ///< −1: several ends together
  double before_m3_s = 0.0;
  double after_m3_s = 0.0;
  double change() const { return before_m3_s > 0.0 ? after_m3_s / before_m3_s - 1.0 : 0.0; }
  bool rises() const;
  bool useful() const;  ///< falls by kUsefulChange or more
};

/// What the basin holds of a storm: captured less what ran on over its rim.
double kept_m3(const study::NodeResult& cut);
/// The same by the second relation; absent where no cut is shorter than the flume tests.
std::optional<double> kept_by_second_m3(const study::StormComparison& storm, std::size_t node);

/// One storm in a few numbers.
struct StormSums {
  double reaching_m3 =
      0.0;  ///< new water at each cut, added: what came less what the next cuts above passed on (base case)
  double taken_m3 = 0.0;  ///< entered − returned, all basins
  std::optional<double>
      other_taken_m3;  ///< by the second relation, where cuts are shorter than the flume tests
  double second_taken_m3 = 0.0;
  double over_rims_m3 = 0.0;
  PeakChange downstream;  ///< flow that leaves at `ends`, added step by step
  std::vector<std::int32_t> ends;
  std::vector<PeakChange> rises;  ///< every place whose peak rises, in chain order
};
StormSums sums_of(const RunFacts& facts, const study::StormComparison& storm);

/// All basins in a mean year; zeros where the study gives no months.
struct YearSums {
  double water_m3 = 0.0;
  double canopy_bound_m2 = 0.0;
  std::array<double, trees::kMonths> month_m3{};
};
YearSums year_sums(const RunFacts& facts);

/// Ends of the chains that have a cut: outfalls or the edge of the data.
std::vector<std::int32_t> ends_below_cuts(const street::Network& network);
/// Next node down that is a cut, −1 none.
std::int32_t next_cut(const street::Network& network, std::int32_t node);
using study::areas_arriving_m2;
using study::own_areas_m2;
/// By node: uncertain corners above it, see street::corner_effects.
std::vector<std::vector<street::CornerEffect>> corner_effects(const RunFacts& facts);

/// "Kiln Street, north side, 62 ft 4 in from Lantern Street toward Adobe Lane", as a cut may be given; where
/// that does not say one place (no street name, two blocks alike) "at x, y" in the reference system's unit.
std::string place_words(const RunFacts& facts, std::int32_t node, Units units);
/// "outfall south", "cut K3", "the edge of the data".
std::string node_words(const RunFacts& facts, std::int32_t node);
/// Where the water of a cut goes when its basin is full.
std::string when_full_words(const RunFacts& facts, std::int32_t node);

/// Where a curb line comes from: "curb layer", "centreline, width by its class".
std::string curb_origin_words(const RunFacts& facts, std::int32_t curb);

/// Notes of inputs, street, preparation and storms together.
base::Notes all_notes(const RunFacts& facts);

}  // namespace curbshed::report
