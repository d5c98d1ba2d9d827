// All that a storm needs, with no raster: network, contributions, losses, openings and basins.
#pragma once

#include "curbshed/base/notes.hpp"
#include "curbshed/street/contribution.hpp"
#include "curbshed/street/network.hpp"
#include "curbshed/water/infiltration.hpp"
#include "curbshed/water/inlet.hpp"
#include "curbshed/water/opening.hpp"
#include "curbshed/water/tank.hpp"

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace curbshed::study {

enum class LossRule : std::uint8_t {
  CurveNumber,         ///< Ia = 0.2 S
  CurveNumberRevised,  ///< Ia = 0.05 S, S converted
  Infiltration,        ///< Green-Ampt or Horton, as `infiltration` says
  Coefficient,         ///< a fixed share of the rain
};

/// How rain on one kind of ground turns into runoff.
struct LossClass {
  std::string name;                             ///< "pavement", "yard_gravel/C", "yard_gravel/C/loam"
  double curve_number = 98.0;                   ///< of the tables, under the condition that the study says
  std::optional<double> wet_curve_number = {};  ///< under the wet condition; absent: from curve_number
  LossRule rule = LossRule::CurveNumber;
  std::optional<water::RawInfiltration> infiltration =
      {};                               ///< of soil that is known; its recovery is the storm's
  double coefficient = 1.0;             ///< of LossRule::Coefficient
  bool bursts_by_infiltration = false;  ///< rains shorter than an hour by `infiltration`, whatever the rule
  double connected = 1.0;  ///< share whose runoff goes straight on; the rest runs onto the pervious cells of
                           ///< the same receiver
  bool pervious = false;   ///< may receive that run-on
  double sheet_roughness = 0.011;  ///< Manning n of sheet flow
  bool paved = true;               ///< speed of shallow concentrated flow
};

enum class BasinKind : std::uint8_t {
  Beside,   ///< beside the gutter: fills, then lets it pass
  Through,  ///< a second cut lower down gives back to the gutter what does not stay
  InLine    ///< the same, and the gutter runs into it by its end: what flows within the opening's width
};

/// Basin behind a cut: a frustum whose water line at the cut's invert, at that of its second cut where there
/// is one, is length × width.
struct BasinParams {
  double length_m = 0.0;
  double width_m = 0.0;
  double side_slope = 0.0;
  double ponding_m = 0.0;         ///< invert − top of the mulch
  double infiltration_m_s = 0.0;  ///< design rate: as measured or told, over the safety factor
  bool soaks_wetted = false;      ///< through all ground under the water instead of the floor alone
  double evaporation_m_s = 0.0;
  double mulch_m = 0.0;
  double mulch_voids = 0.0;  ///< share of the mulch that holds water
  BasinKind kind = BasinKind::Beside;
  double outlet_m = 0.0;       ///< length of the second cut
  double outlet_drop_m = 0.0;  ///< its invert under the first's
  double floor_grade = 0.0;    ///< fall of the floor along it
  int check_dams = 0;
  double dam_thickness_m = 0.0;
  double start_share = 0.0;  ///< of what it holds, full when a storm begins
  double rain_m2 = 0.0;      ///< on which its own rain falls: the water line's plan; its place is
                             ///< in the contribution's places, that of a candidate goes on as ground
  double invert_m = 0.0;     ///< of the cut: gutter level
  double rim_m = 0.0;        ///< lowest point of the rim on the with-basin surface
  base::Point rim_at;
  double rim_width_m = 1.0;  ///< length of rim over which it spills
  std::int32_t rim_to = -1;  ///< node whose area the spilled water would run into, −1 none
  bool rim_below_invert() const { return rim_m < invert_m; }
};

/// Section of the gutter beside a node, besides grade, cross slope and roughness.
struct SectionParams {
  water::GutterForm form = water::GutterForm::Straight;
  double width_m = 0.0;  ///< of the dip; of a parabola from curb to crown
  double drop_m = 0.0;   ///< of the dip under the pavement's own line; height of the crown
};

inline double dip_m(const SectionParams& section) {
  return section.form == water::GutterForm::Depressed ? section.drop_m : 0.0;
}

enum class OpeningKind : std::uint8_t {
  Sawn,  ///< through the whole curb
  Core   ///< a round hole: its diameter is the opening's length
};

/// Coefficients of openings with a pond before them, SI; water/opening.hpp and inlet.hpp have the formulas.
struct PondedTable {
  double weir = water::kSagWeirConstant;
  double dipped_weir = water::kDippedWeirConstant;
  double orifice = water::kOrificeConstant;
  double round_hole = water::kRoundHoleConstant;
  double rim_weir = water::broad_crest_constant();  ///< rims, sags, lips
  double grate_weir = water::kGrateWeirConstant;
  double grate_orifice = water::kGrateOrificeConstant;
  double slot_weir = water::kSlotWeirConstant;
  double slot_orifice = water::kSlotOrificeConstant;
};

/// One entry a node.
struct NodeParams {
  double opening_m = 0.0;  ///< cut or inlet; clear length after clogging is opening × (1 − clogging)
  double clogging = 0.0;
  double grade = 0.003;  ///< used by the formulas, at least least_grade
  double cross_slope = 0.02;
  double roughness = 0.016;
  SectionParams section = {};
  // Cuts and inlets.
  OpeningKind kind = OpeningKind::Sawn;
  std::optional<double> throat_m = {};  ///< height of the opening under its slab; absent: open-topped, of an
                                        ///< inlet its curb's height
  double local_dip_m = 0.0;             ///< of the gutter at the opening alone, below its section's flow line
  double local_dip_width_m = 0.0;       ///< > 0 where there is one and the section has no dip of its own
  double invert_rise_m = 0.0;           ///< cuts: invert above the flow line at the opening
  double pipe_limit_m3_s = 0.0;         ///< inlets: 0 = no limit
  bool blocked = false;                 ///< inlets
  bool in_plan = true;                  ///< cuts: open in the runs with cuts; else only looked at
  water::InletKind inlet = water::InletKind::CurbOpening;
  double inlet_width_m = 0.0;                  ///< see water::InletShape
  double inlet_open_share = 1.0;               ///< of a grate
  std::optional<double> splash_over_m_s = {};  ///< of a grate
  std::int32_t rating = -1;                    ///< inlets: index into `ratings`, −1 none
  std::int32_t pipe_to = -1;  ///< inlets: node at which the pipe's water comes up again, −1 = it is gone
  BasinParams basin;          ///< cuts
};

/// The flattest piece of the gutter from a place down to the next: the least of the fits (least squares over
/// 30 m, all of it where it is shorter) whose middles stand 5 m apart. The least of many fits errs low:
/// heights 3 cm wrong over 5 m move one by 0.14 %.
struct ReachSections {
  std::optional<double> flattest_grade;  ///< fraction, ≥ 0; absent where fewer than five levels are known
  double flattest_from_m = 0.0;          ///< its middle, down the gutter from the upper place
  base::Point flattest_at;
};

/// A lot that keeps rain of its roof. Roofs cost nothing to cut up: a tank whose roof drains to several nodes
/// acts as so many tanks with their shares of everything.
struct LotTank {
  std::string lot;
  double roof_share = 0.0;    ///< of the lot's roof that is led to the tank, 0 to 1
  double start_share = 0.0;   ///< of the tank that is full before a storm
  water::RoofTank tank = {};  ///< its roof_m2 is what is led of all roof cells that reach a node
  double roof_m2 = 0.0;       ///< all roof cells of the lot that reach a node
  std::int32_t node = -1;     ///< first of the nodes that they reach, −1 none
};

struct ChainModel {
  street::Network network;
  street::Contribution contribution;
  std::vector<LossClass> loss_classes;  ///< index = loss_class of the entries
  std::vector<NodeParams> params;       ///< one a node
  std::vector<water::Rating> ratings;
  std::vector<LotTank> tanks = {};          ///< index = tank of the contribution's roofs
  bool tanks_are_new = false;               ///< they come with the cuts: the base case has none
  water::OnGradeTable on_grade = {};        ///< of openings on grade, as the study has it
  PondedTable ponded = {};                  ///< of those with a pond before them
  std::vector<ReachSections> reaches = {};  ///< one a node, of the gutter below it; or empty
  double least_grade = 0.003;
  base::Notes notes;
};

/// Top of the curb over the invert of the cut: the curb's height, with the dips of gutter and opening.
double crest_above_invert_m(const ChainModel& model, std::size_t node);

/// One a node: 1 for the cuts of the plan (and for what is no cut), 0 for those that are only looked at.
std::vector<std::uint8_t> open_in_plan(const ChainModel& model);

/// Fills roof_m2, the tank's roof_m2 and node of every tank from the contribution.
void measure_roofs(ChainModel& model);

/// Cells of each node, and of the node and all that drains to it, in square metres. What stands in a sag has
/// the sag's. Below a shared corner the area counts by the share of its water that comes.
std::vector<double> own_areas_m2(const ChainModel& model);
std::vector<double> areas_arriving_m2(const ChainModel& model);

/// Throws BugError when sizes do not agree, a grade or cross slope is not above 0, or a share is not within 0
/// to 1.
void check(const ChainModel& model);

}  // namespace curbshed::study
