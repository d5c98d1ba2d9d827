#include "curbshed/siting/candidates_model.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/base/names.hpp"
#include "curbshed/siting/full_levels.hpp"
#include "curbshed/siting/measures.hpp"
#include "curbshed/study/storm_trials.hpp"

#include <algorithm>
#include <iterator>
#include <numeric>
#include <utility>

namespace curbshed::siting {
namespace {

std::size_t at(std::int32_t i) { return static_cast<std::size_t>(i); }

/// Takes the candidates out of the inputs again, come what may.
class WithSites {
 public:
  WithSites(study::StudyInputs& inputs, const std::vector<CandidateSpot>& spots)
      : inputs_(inputs), before_(inputs.sites.size()), overrides_(inputs.overrides.size()) {
    inputs_.overrides.resize(before_);
    for (const CandidateSpot& spot : spots) {
      inputs_.sites.push_back(site_of(spot));
      inputs_.overrides.push_back(overrides_of(spot));
    }
  }
  ~WithSites() {
    inputs_.sites.resize(before_);
    inputs_.overrides.resize(overrides_);
  }
  WithSites(const WithSites&) = delete;
  WithSites& operator=(const WithSites&) = delete;

  /// Candidate of a site, −1 where it is the user's.
  std::int32_t candidate(std::int32_t site) const {
    return site < static_cast<std::int32_t>(before_) ? -1 : site - static_cast<std::int32_t>(before_);
  }

 private:
  study::StudyInputs& inputs_;
  std::size_t before_;
  std::size_t overrides_;
};

Screening screened(const study::StudyInputs& inputs, const study::Settings& settings,
                   const study::Preparation& prepared, const std::vector<std::int32_t>& nodes,
                   const CandidateRules& by, base::Workers workers) {
  std::vector<study::StormComparison> storms;
  for (const study::Storm& storm : *by.storms) {
    storms.push_back(study::compare_storm(prepared.model, storm, false, workers));
  }
  const study::FullWater water = study::full_water(prepared.model, *by.storms, workers);
  const FullLevels full = full_levels({&settings, &inputs, &prepared, &water}, workers);
  return screen(*by.rules, nodes,
                measure_sites({&settings, &inputs, &prepared, &storms, by.rules, &full}, nodes, workers));
}

}  // namespace

CandidateModel candidate_model(study::StudyInputs& inputs, const BesideShapes& beside,
                               const study::Settings& settings, const std::optional<base::Box>& within,
                               const terrain::WorkPlan& plan, const base::Progress& progress,
                               const CandidateRules& by) {
  CandidateModel out;
  terrain::CurbField curbs = study::place_study_curbs(inputs, settings, {plan.threads}, progress);
  out.found =
      find_candidates({.inputs = &inputs, .curbs = &curbs, .beside = &beside, .within = within}, settings);
  const std::size_t count = out.found.spots.size();
  const WithSites sites(inputs, out.found.spots);
  study::Preparation prepared = study::prepare(inputs, settings, plan, std::move(curbs), progress);
  out.node.assign(count, -1);
  for (std::size_t n = 0; n < prepared.model.network.size(); ++n) {
    if (prepared.model.network.kind[n] != street::NodeKind::Cut) continue;
    const std::int32_t i = sites.candidate(prepared.model.network.site[n]);
    if (i >= 0) out.node[at(i)] = static_cast<std::int32_t>(n);
  }
  for (const std::int32_t node : out.node) base::ensure(node >= 0, "every candidate is a node");
  if (by.rules != nullptr) {
    out.screening = screened(inputs, settings, prepared, out.node, by, {plan.threads});
    out.to_choose = cuts_of_run(prepared, inputs, settings, {});
  }
  out.model = std::move(prepared.model);
  out.place.resize(count);
  out.water_line.resize(count);
  out.area_m2.resize(count);
  out.at_least.resize(count);
  const street::Network& network = out.model.network;
  const std::vector<double> areas_m2 = study::areas_arriving_m2(out.model);
  for (std::int32_t n = 0; n < static_cast<std::int32_t>(network.size()); ++n) {
    if (network.kind[at(n)] != street::NodeKind::Cut) continue;
    const std::int32_t i = sites.candidate(network.site[at(n)]);
    if (i < 0) {
      out.cuts.push_back(n);
      out.cut_area_m2.push_back(areas_m2[at(n)]);
      continue;
    }
    out.model.params[at(n)].in_plan = false;
    out.place[at(i)] = std::move(prepared.maps.street.places[at(n)]);
    out.water_line[at(i)] = std::move(prepared.maps.basins[at(n)]);
    out.area_m2[at(i)] = areas_m2[at(n)];
    out.at_least[at(i)] = network.edge_cuts_area[at(n)] != 0 || network.edge_cuts_above[at(n)] != 0 ? 1 : 0;
  }
  for (std::size_t i = 0; i < count; ++i) {
    const CandidateSpot& spot = out.found.spots[i];
    out.materials.push_back(
        materials_of(dug_basin(spot, settings), work_besides(spot, settings), material_rules(settings)));
  }
  for (CutToChoose& cut : out.to_choose) {
    cut.candidate = sites.candidate(network.site[at(cut.node)]);
    if (cut.candidate < 0) continue;
    const std::size_t i = at(cut.candidate);
    cut.digging_m3 = out.materials[i].soil_dug_m3;
    cut.cost = cost_of(out.materials[i], 1, prices_of(settings.money));
    cut.over_a_limit = out.screening->verdicts[i].basin == Outcome::OverLimit;
  }
  return out;
}

CandidateStorm candidate_storm(const CandidateModel& candidates, const study::Storm& storm, bool with_gain,
                               base::Workers workers) {
  CandidateStorm out;
  out.storm_id = storm.id;
  out.takes.resize(candidates.node.size());
  study::StormTrials trials(candidates.model, storm, workers);
  trials.flip(candidates.cuts);
  out.cuts_here_m3 = trials.captured_m3() - trials.over_rim_m3();
  // Neighbours on a chain share what lies in the caches.
  std::vector<std::size_t> order(candidates.node.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::sort(order.begin(), order.end(),
            [&](std::size_t a, std::size_t b) { return candidates.node[a] < candidates.node[b]; });
  const auto count = static_cast<std::int64_t>(order.size());
  if (count == 0) return out;
  // Each copy holds a storm's series: one a thread.
  base::parallel_stripes(
      count, std::min<std::int64_t>(workers.threads, count), workers,
      [&](std::int64_t begin, std::int64_t end) {
        const study::StormTrials own(trials);
        for (std::int64_t k = begin; k < end; ++k) {
          const std::size_t i = order[static_cast<std::size_t>(k)];
          const study::TrialAnswer answer = own.tried({candidates.node[i]}, {.own_only = !with_gain});
          out.takes[i].kept_m3 = answer.own_m3 - answer.own_over_rim_m3;
          out.takes[i].over_rim_m3 = answer.own_over_rim_m3;
          if (with_gain) {
            out.takes[i].gain_m3 = answer.captured_m3 - answer.over_rim_m3 - out.cuts_here_m3;
          }
        }
      });
  return out;
}

CandidateResults candidate_results(CandidateModel model, const std::vector<study::Storm>& storms,
                                   base::Workers workers) {
  CandidateResults out;
  for (const study::Storm& storm : storms) {
    out.storms.push_back(candidate_storm(model, storm, out.storms.empty(), workers));
  }
  out.model = std::move(model);
  out.ranked.resize(out.model.node.size());
  std::iota(out.ranked.begin(), out.ranked.end(), 0);
  const std::vector<std::string>& ids = out.model.model.network.id;
  std::sort(out.ranked.begin(), out.ranked.end(), [&](std::int32_t a, std::int32_t b) {
    const double one = out.storms.empty() ? 0.0 : out.storms.front().takes[at(a)].kept_m3;
    const double other = out.storms.empty() ? 0.0 : out.storms.front().takes[at(b)].kept_m3;
    if (one != other) return one > other;
    return base::natural_less(ids[at(out.model.node[at(a)])], ids[at(out.model.node[at(b)])]);
  });
  return out;
}

}  // namespace curbshed::siting
