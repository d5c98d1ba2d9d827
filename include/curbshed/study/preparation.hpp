// From grids and layers to the chain model: the last place where a raster is looked at.
#pragma once

#include "curbshed/base/progress.hpp"
#include "curbshed/street/centrelines.hpp"
#include "curbshed/study/chain_model.hpp"
#include "curbshed/study/field_values.hpp"
#include "curbshed/study/gutter_input.hpp"
#include "curbshed/study/settings.hpp"
#include "curbshed/study/surroundings.hpp"
#include "curbshed/terrain/areas.hpp"
#include "curbshed/terrain/yard_walls.hpp"

namespace curbshed::study {

/// What a drain inlet brings along besides its length, clogging and pipe limit.
struct InletInput {
  water::InletKind kind = water::InletKind::CurbOpening;
  std::optional<double> width_m, open_share, splash_over_m_s;
  std::int32_t rating = -1;  ///< index into the ratings, −1 none
  std::string rating_name;
  std::string outlet;  ///< name of the place where its water comes up again, "" none
  std::optional<base::Point> outlet_at;
};

/// What the owner beside a cut has said. Used, never shown.
enum class Consent : std::uint8_t { NotAsked, Yes, No };

/// Overrides that a cut or inlet brings along; absent = the study's value.
struct SiteOverrides {
  std::optional<double> opening_m, clogging, basin_length_m, basin_width_m, side_slope, ponding_m, setback_m,
      mouth_at, infiltration_m_s, pipe_limit_m3_s, throat_m, core_diameter_m, invert_rise_m, dip_m,
      dip_width_m;
  std::optional<OpeningKind> opening_kind;
  std::optional<BasinKind> basin_kind;
  std::optional<double> outlet_m, outlet_drop_m, check_dams;
  std::optional<bool> falling_floor;
  bool volume_told = false;  ///< what it holds is known: mulch adds nothing to it
  std::string words;         ///< free text of the user's, shown as it is
  Consent consent = Consent::NotAsked;
  bool only_looked_at = false;   ///< a candidate: its place goes on as the ground that it is
  std::optional<double> weight;  ///< of the water that its basin keeps, in the choice
  InletInput inlet;
};

/// Ground where the water that a basin keeps counts so many times in the choice.
struct WeightArea {
  base::Shape shape;  ///< polygons
  double weight = 1.0;
};

/// A house on the map of addresses.
struct Address {
  std::string number;
  std::string street;  ///< "" = not told
  base::Point at;
};

/// Everything a run reads, in metres, on one grid.
struct StudyInputs {
  terrain::Ground ground;
  terrain::Grid<std::uint8_t> pavement;     ///< 1 on street pavement; empty = not given
  terrain::Grid<std::uint8_t> roof;         ///< 1 under buildings; empty = not given
  terrain::Grid<std::uint16_t> loss_class;  ///< index into loss_classes
  std::vector<LossClass> loss_classes;
  std::vector<terrain::CurbLine> curbs;
  std::vector<street::CurbFacts> curb_facts;  ///< one a curb, or empty
  std::vector<GutterInput> gutters;           ///< one a curb, or empty
  std::vector<street::StreetBlock> blocks;    ///< empty without centrelines
  std::vector<street::Site> sites;
  std::vector<SiteOverrides> overrides;  ///< one a site
  std::vector<Address> addresses;
  std::vector<WeightArea> weights;
  std::vector<street::FlowLine> flow_lines;
  std::vector<street::CornerPoint> corner_points;
  std::vector<FieldRow> field;
  std::vector<terrain::YardWall> walls;
  Surroundings surroundings;
  std::vector<water::Rating> ratings;
  terrain::Grid<std::int32_t> tank;  ///< roof cells: index into tanks, −1 none; empty = no lot has one
  std::vector<LotTank> tanks;
  std::vector<base::Shape> tank_lots;  ///< shape of the lot, one a tank
  bool inlets_given = false;
  base::Notes notes;
};

/// What the map layers and rasters need; not used by storms.
struct MapProducts {
  terrain::CurbField curbs;
  street::StreetModel street;                  ///< its network is moved to the chain model; grids stay
  std::vector<terrain::LabelArea> areas;       ///< contributing areas by node
  std::vector<base::Polyline> gutters;         ///< per node: gutter from the node to its downstream node
  std::vector<base::Polyline> second_gutters;  ///< the same, one a second way of the network
  std::vector<std::int32_t> overlaps;          ///< per node: a basin that lies on the same ground, −1 none
  std::vector<base::Polygon> basins;           ///< per node: water line of the basin; no rings where none
  terrain::Grid<float> travel_time_s;
  std::vector<std::string>
      house_numbers;  ///< per node: of the nearest address within 60 m, on its own street
                      ///< where addresses say theirs; "" = none; ties to the first number
  double slope_floor_share = 0.0;
  double roof_over_hole_m2 = 0.0;
};

struct Preparation {
  ChainModel model;
  MapProducts maps;
  FieldFindings field;
};

/// Curbs → levels → directions → network → openings and basins → travel times → contributions.
///
/// Travel times end at the gutter; cells without ground have 0. Sheet flow is timed at rain.sheet_intensity,
/// or at the two-year hour's mean. Grades under street.least_grade are lifted to it (note GradeBelowFormula).
/// An inlet without a length or rating takes street.inlet_length (note InletAssumed). A basin lies behind its
/// cut, centred on it; its rim is the lowest ground around it, toward the street at least the curb's crest
/// (src/study/basin_sites.hpp). What was measured on the street counts before all of these. Notes on basins
/// that spill over their rim, that lie on ground of unknown height, on pavement or under a roof. Same inputs,
/// same bits, for every plan. Errors (InputError, naming site and layer): those of build_street; a basin with
/// no floor (with its arithmetic); a cut on no curb; a basin with no known ground around it.
Preparation prepare(const StudyInputs& inputs, const Settings& settings, const terrain::WorkPlan& plan,
                    const base::Progress& progress = {});

/// Its first stage alone: the curbs on the grid, with yard walls. They do not depend on the sites, so several
/// preparations of one ground may share them.
terrain::CurbField place_study_curbs(const StudyInputs& inputs, const Settings& settings,
                                     base::Workers workers, const base::Progress& progress = {});
/// The rest, on curbs of that stage.
Preparation prepare(const StudyInputs& inputs, const Settings& settings, const terrain::WorkPlan& plan,
                    terrain::CurbField curbs, const base::Progress& progress = {});

/// Names of its stages, in order, as `progress` is told them.
namespace stage {
inline constexpr const char* kCurbs = "placing the curbs";
inline constexpr const char* kWater = "following the water on the ground";
inline constexpr const char* kBasins = "placing the basins";
inline constexpr const char* kTimes = "timing the water";
inline constexpr const char* kAreas = "outlining the areas";
}  // namespace stage

}  // namespace curbshed::study
