#include "curbshed/siting/chosen_cuts.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/base/names.hpp"
#include "curbshed/siting/plan_value.hpp"
#include "curbshed/siting/value_sum.hpp"
#include "curbshed/study/storms.hpp"
#include "curbshed/study/yearly_water.hpp"

#include <algorithm>
#include <map>
#include <memory>
#include <set>

#include <fmt/format.h>

namespace curbshed::siting {
namespace {

using base::InputError;
using street::NodeKind;

std::size_t at(std::int32_t node) { return static_cast<std::size_t>(node); }

class CutsToChoose {
 public:
  CutsToChoose(const study::ChainModel& model, std::vector<CutToChoose> cuts, const study::Settings& settings,
               const std::vector<study::Storm>& storms)
      : model_(model),
        network_(model.network),
        settings_(settings),
        asked_(settings.choose),
        storms_(storms) {
    out_.cuts = std::move(cuts);
  }

  ChosenCuts run(base::Workers workers) {
    list_sites();
    mark_named(asked_.must, "must", true);
    mark_named(asked_.never, "never", false);
    check_musts();
    check_prices();
    out_.aim = asked_.aim;
    out_.storm_id = asked_.storm;
    const study::Storm& storm = storm_asked();
    std::vector<std::int32_t> nodes;
    for (const CutToChoose& cut : out_.cuts) {
      nodes.push_back(cut.node);
    }
    const bool of_year = asked_.aim == "year";
    const auto value = of_year ? year_value(nodes, workers)
                               : storm_value(model_, storm, nodes, aim(storm, workers), workers);
    for (std::size_t s = 0; s < sites_.size(); ++s) {
      out_.alone.push_back(sites_[s].never ? 0.0 : value->alone(s).gain);
    }
    // Ten rains a look instead of one storm.
    ChoiceEffort effort;
    if (of_year) {
      constexpr std::int64_t kLess = 5;
      effort.exact_sets /= kLess;
      effort.exchange_trials /= kLess;
    }
    out_.choice = choose(sites_, limits(), *value, effort, workers);
    add_up();
    run_together(workers);
    return std::move(out_);
  }

 private:
  void add_up() {
    std::set<Priced> missing;
    for (const std::size_t site : out_.choice.build_order) {
      const CutToChoose& cut = out_.cuts[site];
      out_.digging_m3 += cut.digging_m3;
      missing.insert(cut.cost.without_price.begin(), cut.cost.without_price.end());
      if (cut.cost.total) {
        out_.cost.total = out_.cost.total.value_or(0.0) + *cut.cost.total;
      }
    }
    out_.cost.without_price.assign(missing.begin(), missing.end());
  }

  void run_together(base::Workers workers) {
    study::ChainModel plan = model_;
    for (const CutToChoose& cut : out_.cuts) {
      plan.params[at(cut.node)].in_plan = false;
    }
    for (const std::size_t site : out_.choice.build_order) {
      plan.params[at(out_.cuts[site].node)].in_plan = true;
    }
    for (const study::Storm& storm : storms_) {
      out_.storms.push_back(study::compare_storm(plan, storm, false, workers));
      if (storm.id == out_.storm_id) out_.kept_m3 = kept_by_chosen_m3(out_.storms.back());
    }
    constexpr double kHalf = 0.5;
    constexpr double kDouble = 2.0;
    const auto kept_at = [&](double factor) {
      study::ChainModel other = plan;
      for (study::NodeParams& params : other.params) params.basin.infiltration_m_s *= factor;
      return kept_by_chosen_m3(study::compare_storm(other, storm_asked(), false, workers));
    };
    if (out_.choice.build_order.empty()) return;
    out_.kept_at_half_m3 = kept_at(kHalf);
    out_.kept_at_double_m3 = kept_at(kDouble);
  }

  double kept_by_chosen_m3(const study::StormComparison& storm) const {
    double sum = 0.0;
    for (const std::size_t site : out_.choice.build_order) {
      const study::NodeResult& node = storm.with_cuts.nodes[at(out_.cuts[site].node)];
      sum += std::max(0.0, node.captured_m3 - node.over_rim_m3);
    }
    return sum;
  }

  [[noreturn]] void refuse(const std::string& key, const std::string& what, const std::string& allowed,
                           const std::string& next) const {
    throw InputError({settings_.file, "[choose]", key}, what, allowed, next);
  }

  void list_sites() {
    for (const CutToChoose& cut : out_.cuts) {
      const LeftOut why = cut.over_a_limit                    ? LeftOut::OverALimit
                          : cut.consent == study::Consent::No ? LeftOut::Owner
                                                              : LeftOut::None;
      sites_.push_back({.id = cut.id,
                        .money = cut.cost.total.value_or(0.0),
                        .digging_m3 = cut.digging_m3,
                        .block = cut.block,
                        .curb = cut.curb,
                        .along_curb_m = cut.along_curb_m,
                        .never = why != LeftOut::None});
      out_.left_out.push_back(why);
    }
  }

  bool is_named(std::size_t s, const std::string& name) const {
    const CutToChoose& cut = out_.cuts[s];
    return name == cut.id || name == cut.place_id || (!cut.house.empty() && name == cut.house);
  }

  void mark_named(const std::vector<std::string>& names, const std::string& key, bool must) {
    for (const std::string& name : names) {
      bool found = false;
      for (std::size_t s = 0; s < sites_.size(); ++s) {
        if (!is_named(s, name)) {
          continue;
        }
        found = true;
        if (must) {
          sites_[s].must = true;
          continue;
        }
        if (sites_[s].must) {
          refuse(key, fmt::format("\"{}\" is in `must` and in `never`", sites_[s].id),
                 "each cut in one of the two", "take it out of one");
        }
        sites_[s].never = true;
        out_.left_out[s] = LeftOut::Never;
      }
      if (!found) {
        std::vector<std::string> known;
        for (const ChoiceSite& site : sites_) {
          known.push_back(site.id);
        }
        const std::vector<std::string> near = base::nearest_words(name, known, 1);
        refuse(key, fmt::format("there is no cut \"{}\", and none before such a house", name),
               "ids of cuts, or a house number with its street (\"12 Kiln Street\")",
               near.empty() ? "see the ids in cuts.csv" : fmt::format("did you mean \"{}\"?", near.front()));
      }
    }
  }

  void check_musts() const {
    for (std::size_t s = 0; s < sites_.size(); ++s) {
      if (sites_[s].must && sites_[s].never) {
        refuse("must",
               fmt::format("\"{}\" may not be built: {}", sites_[s].id,
                           out_.left_out[s] == LeftOut::OverALimit ? "it is over a limit, see screening.csv"
                                                                   : "the study keeps it out"),
               "cuts that are not over a limit and that nothing in the study keeps out",
               "take it out of must");
      }
    }
  }

  void check_prices() const {
    if (!asked_.money) {
      return;
    }
    std::set<std::string> missing;
    for (std::size_t s = 0; s < sites_.size(); ++s) {
      if (sites_[s].never) {
        continue;
      }
      if (!out_.cuts[s].cost.total) {
        refuse("money", "there is a limit on money, and no price", "prices in [money]",
               "give prices in [money], or take choose.money out");
      }
      for (const Priced what : out_.cuts[s].cost.without_price) {
        missing.emplace(priced_word(what));
      }
    }
    if (!missing.empty()) {
      refuse("money", fmt::format("there is a limit on money, and no price for {}", fmt::join(missing, ", ")),
             "a price in [money] for all that is needed",
             fmt::format("give [money] {} = …, or take choose.money out", *missing.begin()));
    }
  }

  const study::Storm& storm_asked() const {
    std::vector<std::string> ids;
    for (const study::Storm& storm : storms_) {
      ids.push_back(storm.id);
      if (storm.id == asked_.storm) {
        return storm;
      }
    }
    refuse("storm", fmt::format("there is no storm \"{}\"", asked_.storm),
           fmt::format("{}", fmt::join(ids, ", ")), "write one of these ids");
  }

  std::vector<std::int32_t> outfalls() const {
    std::set<std::int32_t> ends;
    std::set<std::size_t> seen;
    std::vector<std::size_t> open_ends;
    for (const CutToChoose& cut : out_.cuts) {
      open_ends.push_back(at(cut.node));
    }
    while (!open_ends.empty()) {
      const std::size_t node = open_ends.back();
      open_ends.pop_back();
      if (!seen.insert(node).second) {
        continue;
      }
      if (network_.downstream[node] < 0) {
        ends.insert(static_cast<std::int32_t>(node));
      }
      street::each_way_down(network_, node, [&](const street::WayDown& way) { open_ends.push_back(way.to); });
    }
    if (asked_.outfall.empty()) {
      return {ends.begin(), ends.end()};
    }
    std::vector<std::string> ids;
    for (std::size_t n = 0; n < network_.size(); ++n) {
      if (network_.kind[n] == NodeKind::Outfall) {
        ids.push_back(network_.id[n]);
        if (ids.back() == asked_.outfall) {
          return {static_cast<std::int32_t>(n)};
        }
      }
    }
    refuse("outfall", fmt::format("there is no outfall \"{}\"", asked_.outfall),
           fmt::format("{}", fmt::join(ids, ", ")), "write one of these ids");
  }

  StormAim water_kept() const {
    StormAim aim;
    aim.weights.assign(network_.size(), 1.0);
    for (const CutToChoose& cut : out_.cuts) {
      aim.weights[at(cut.node)] = cut.weight;
    }
    if (std::all_of(aim.weights.begin(), aim.weights.end(), [](double w) { return w == 1.0; })) {
      aim.weights.clear();
    }
    return aim;
  }

  std::unique_ptr<PlanValue> year_value(const std::vector<std::int32_t>& nodes, base::Workers workers) const {
    std::vector<WeightedValue> rains;
    for (const study::RainOfYear& rain : study::rains_of_year(settings_)) {
      const study::Storm storm = study::hour_storm(settings_, rain.depth_m);
      rains.push_back({storm_value(model_, storm, nodes, water_kept(), workers), rain.times});
    }
    if (rains.empty()) {
      refuse("aim", "a mean year is asked for, and the study gives none", "month_rain and wet_days in [rain]",
             "add both to [rain], or write aim = \"captured\"");
    }
    return value_sum(std::move(rains));
  }

  StormAim aim(const study::Storm& storm, base::Workers workers) const {
    StormAim aim = water_kept();
    if (asked_.aim == "captured") {
      return aim;
    }
    aim.outfalls = outfalls();
    if (asked_.aim == "peak") {
      aim.per_captured_m3 = 0.0;
      aim.per_peak_m3_s = 1.0;
      return aim;
    }
    const study::StormTrials today(model_, storm, workers);
    double peak_m3_s = 0.0;
    for (const std::int32_t outfall : aim.outfalls) {
      peak_m3_s += today.peak_m3_s(outfall);
    }
    const double runoff_m3 = today.runoff_m3();
    aim.per_captured_m3 = runoff_m3 > 0.0 ? (1.0 - asked_.peak_part) / runoff_m3 : 0.0;
    aim.per_peak_m3_s = peak_m3_s > 0.0 ? asked_.peak_part / peak_m3_s : 0.0;
    return aim;
  }

  ChoiceLimits limits() const {
    ChoiceLimits limits;
    const auto whole = [](const std::optional<double>& number) {
      return number ? std::optional(static_cast<std::int64_t>(*number)) : std::nullopt;
    };
    limits.pack.count = whole(asked_.count);
    limits.pack.money = asked_.money;
    limits.pack.digging_m3 = asked_.digging_m3;
    limits.pack.per_block = whole(asked_.per_block);
    limits.least_spacing_m = asked_.spacing_m;
    return limits;
  }

  const study::ChainModel& model_;
  const street::Network& network_;
  const study::Settings& settings_;
  const study::ChooseSettings& asked_;
  const std::vector<study::Storm>& storms_;
  std::vector<ChoiceSite> sites_;
  ChosenCuts out_;
};

}  // namespace

ChosenCuts choose_cuts(const study::ChainModel& model, std::vector<CutToChoose> cuts,
                       const study::Settings& settings, const std::vector<study::Storm>& storms,
                       base::Workers workers) {
  return CutsToChoose(model, std::move(cuts), settings, storms).run(workers);
}

}  // namespace curbshed::siting
