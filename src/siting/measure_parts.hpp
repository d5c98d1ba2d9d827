// Parts of measure_sites: each fills the rules that it knows of.
#pragma once

#include "curbshed/siting/measures.hpp"

#include "siting/around.hpp"

namespace curbshed::siting {

/// What all sites share.
struct Survey {
  MeasureInputs in;
  Around around;
  std::vector<double> areas_m2;        ///< arriving, by node
  std::vector<double> paved_areas_m2;  ///< of these paved and under roofs
  std::vector<const terrain::CurbLine*> gaps;
  shapes::BoxIndex gap_index;

  explicit Survey(const MeasureInputs& inputs);
  const street::Network& network() const { return in.preparation->model.network; }
};

/// One place, in its own frame: along the curb and behind it, metres from the cut.
struct SiteFrame {
  std::size_t node = 0;
  base::Point at;
  base::Point behind;
  base::Point along;
  const base::Polygon* footprint = nullptr;
  double from_m = 0.0;  ///< footprint along the curb
  double to_m = 0.0;
  double setback_m = 0.0;
  double width_m = 0.0;

  SiteFrame(const Survey& survey, std::int32_t node_number);
  base::Point point(double along_m, double behind_m) const;
  double length_m() const { return to_m - from_m; }
  double far_m() const { return setback_m + width_m; }
};

inline Measured& of(SiteMeasures& site, RuleId id) { return site[static_cast<std::size_t>(id)]; }
inline Measured plain_value(double value, std::string from, double doubt = 0.0) {
  Measured out;
  out.value = value;
  out.doubt = doubt;
  out.from = std::move(from);
  return out;
}
/// Nothing is asked here.
inline Measured not_asked(std::string from, std::string words) {
  Measured out;
  out.does_not_apply = true;
  out.from = std::move(from);
  out.words = std::move(words);
  return out;
}
/// "10.5 ft", in the rule's unit.
std::string with_unit(const RuleSet& rules, RuleId id, double value_si);

void measure_street(const Survey& survey, const SiteFrame& frame, SiteMeasures& site);
void measure_basin(const Survey& survey, const SiteFrame& frame, SiteMeasures& site);
void measure_room(const Survey& survey, const SiteFrame& frame, SiteMeasures& site);
void measure_soil(const Survey& survey, const SiteFrame& frame, SiteMeasures& site);
void measure_around(const Survey& survey, const SiteFrame& frame, SiteMeasures& site);
void measure_traffic(const Survey& survey, const SiteFrame& frame, SiteMeasures& site);

}  // namespace curbshed::siting
