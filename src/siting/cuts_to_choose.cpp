#include "curbshed/siting/cuts_to_choose.hpp"

#include "curbshed/siting/candidates.hpp"

#include <algorithm>

namespace curbshed::siting {
namespace {

std::size_t at(std::int32_t node) { return static_cast<std::size_t>(node); }

/// Side of a block and place along it; a curb without a street's name stands for itself.
void place_cut(const study::MapProducts& maps, const street::Network& network, CutToChoose& cut) {
  const std::size_t n = at(cut.node);
  const street::FacePlace& place = maps.street.places[n].place;
  const std::vector<street::BlockFace>& faces = maps.street.faces.faces();
  cut.place_id = maps.street.places[n].own_id;
  cut.words_metric = maps.street.places[n].words_metric;
  cut.words_us = maps.street.places[n].words_us;
  if (place.face < 0) {
    cut.curb = network.curb[n] < 0 ? -1 : static_cast<std::int32_t>(faces.size()) + network.curb[n];
    cut.along_curb_m = network.along_curb_m[n];
    return;
  }
  cut.block = std::to_string(place.face);
  cut.curb = place.face;
  cut.along_curb_m = place.along_m;
  if (n < maps.house_numbers.size() && !maps.house_numbers[n].empty()) {
    cut.house = maps.house_numbers[n] + " " + faces[at(place.face)].street;
  }
}

double ground_weight(const study::StudyInputs& inputs, base::Point p) {
  double weight = 1.0;
  for (const study::WeightArea& area : inputs.weights) {
    const bool in = std::any_of(area.shape.polygons.begin(), area.shape.polygons.end(),
                                [&](const base::Polygon& polygon) { return base::contains(polygon, p); });
    if (in) weight *= area.weight;
  }
  return weight;
}

}  // namespace

std::optional<DugBasin> dug_basin(const study::ChainModel& model, std::size_t node,
                                  const study::Settings& settings) {
  const study::BasinParams& basin = model.params[node].basin;
  const double in_m = 2.0 * basin.side_slope * basin.ponding_m;
  if (!(basin.length_m > in_m && basin.width_m > in_m)) {
    return std::nullopt;
  }
  return DugBasin{.length_m = basin.length_m,
                  .width_m = basin.width_m,
                  .side_slope = basin.side_slope,
                  .ponding_m = basin.ponding_m,
                  .drop_m = settings.room.drop_m,
                  .mulch_m = settings.room.mulch_m,
                  .ground_above_water_m = study::crest_above_invert_m(model, node)};
}

std::vector<CutToChoose> cuts_of_run(const study::Preparation& preparation, const study::StudyInputs& inputs,
                                     const study::Settings& settings,
                                     const std::vector<std::uint8_t>& over_a_limit) {
  const study::ChainModel& model = preparation.model;
  const street::Network& network = model.network;
  std::vector<CutToChoose> cuts;
  for (std::size_t n = 0; n < network.size(); ++n) {
    if (network.kind[n] != street::NodeKind::Cut) {
      continue;
    }
    CutToChoose cut;
    cut.node = static_cast<std::int32_t>(n);
    cut.id = network.id[n];
    place_cut(preparation.maps, network, cut);
    if (const std::optional<DugBasin> basin = dug_basin(model, n, settings)) {
      const WorkBesides besides{.opening_m = model.params[n].opening_m};
      cut.digging_m3 = figures_of(*basin).dug_m3();
      cut.cost =
          cost_of(materials_of(*basin, besides, material_rules(settings)), 1, prices_of(settings.money));
    }
    const std::int32_t site = network.site[n];
    if (site >= 0 && at(site) < inputs.overrides.size()) {
      cut.weight = inputs.overrides[at(site)].weight.value_or(1.0) * ground_weight(inputs, network.at[n]);
      cut.consent = inputs.overrides[at(site)].consent;
    }
    cut.over_a_limit = !over_a_limit.empty() && over_a_limit[n] != 0;
    cuts.push_back(std::move(cut));
  }
  // Ties go to the earlier cut: the order of the layers must not decide.
  std::sort(cuts.begin(), cuts.end(), [](const CutToChoose& a, const CutToChoose& b) { return a.id < b.id; });
  return cuts;
}

}  // namespace curbshed::siting
