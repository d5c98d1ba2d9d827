#include "curbshed/siting/chosen_cuts.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/base/names.hpp"
#include "curbshed/siting/plan_value.hpp"

#include <algorithm>
#include <map>
#include <set>

#include <fmt/format.h>

namespace curbshed::siting {
namespace {

using base::InputError;
using street::NodeKind;

std::size_t at(std::int32_t node) { return static_cast<std::size_t>(node); }

class CutsToChoose {
 public:
  explicit CutsToChoose(const ChosenCutsInputs& in)
      : in_(in), network_(in.preparation->model.network), asked_(in.settings->choose) {}

  ChosenCuts run(base::Workers workers) {
    list_sites();
    mark_named(asked_.must, "must", true);
    mark_named(asked_.never, "never", false);
    check_musts();
    check_prices();
    out_.aim = asked_.aim;
    out_.storm = storm_asked();
    const study::Storm& storm = (*in_.storms)[at(out_.storm)];
    const auto value = storm_value(in_.preparation->model, storm, out_.nodes, aim(storm, workers), workers);
    for (std::size_t s = 0; s < out_.sites.size(); ++s) {
      out_.alone.push_back(value->alone(s).gain);
    }
    out_.choice = choose(out_.sites, limits(), *value, {}, workers);
    for (const std::size_t site : out_.choice.build_order) {
      out_.money += out_.sites[site].money;
      out_.digging_m3 += out_.sites[site].digging_m3;
    }
    return std::move(out_);
  }

 private:
  [[noreturn]] void refuse(const std::string& key, const std::string& what, const std::string& allowed,
                           const std::string& next) const {
    throw InputError({in_.settings->file, "[choose]", key}, what, allowed, next);
  }

  const study::SiteOverrides* own_words(std::int32_t node) const {
    const std::int32_t site = network_.site[at(node)];
    return site < 0 || at(site) >= in_.inputs->overrides.size() ? nullptr : &in_.inputs->overrides[at(site)];
  }

  void list_sites() {
    for (std::size_t n = 0; n < network_.size(); ++n) {
      if (network_.kind[n] == NodeKind::Cut) {
        out_.nodes.push_back(static_cast<std::int32_t>(n));
      }
    }
    // Ties go to the earlier site: the order of the layers must not decide.
    std::sort(out_.nodes.begin(), out_.nodes.end(),
              [&](std::int32_t a, std::int32_t b) { return network_.id[at(a)] < network_.id[at(b)]; });
    const std::vector<street::SitePlace>& places = in_.preparation->maps.street.places;
    for (const std::int32_t node : out_.nodes) {
      ChoiceSite site;
      site.id = network_.id[at(node)];
      site.money = in_.cost.empty() ? 0.0 : in_.cost[at(node)].total.value_or(0.0);
      site.digging_m3 = in_.digging_m3.empty() ? 0.0 : in_.digging_m3[at(node)];
      const street::FacePlace& face = places[at(node)].place;
      const auto faces = static_cast<std::int32_t>(in_.preparation->maps.street.faces.faces().size());
      site.block = face.face < 0 ? std::string() : std::to_string(face.face);
      site.curb = face.face >= 0                ? face.face
                  : network_.curb[at(node)] < 0 ? -1
                                                : faces + network_.curb[at(node)];
      site.along_curb_m = face.face >= 0 ? face.along_m : network_.along_curb_m[at(node)];
      LeftOut why = LeftOut::None;
      const study::SiteOverrides* own = own_words(node);
      if (!in_.refused.empty() && in_.refused[at(node)] != 0) {
        why = LeftOut::OverALimit;
      } else if (own != nullptr && own->consent == study::Consent::No) {
        why = LeftOut::Owner;
      }
      site.never = why != LeftOut::None;
      out_.sites.push_back(std::move(site));
      out_.left_out.push_back(why);
      if (!in_.cost.empty()) {
        out_.cost.push_back(in_.cost[at(node)]);
      }
    }
  }

  /// A site's own id, its id from street, side and distance, or the house that it lies before.
  bool is_named(std::size_t s, const std::string& name) const {
    const std::size_t node = at(out_.nodes[s]);
    const street::StreetModel& street = in_.preparation->maps.street;
    if (name == network_.id[node] || name == street.places[node].own_id) {
      return true;
    }
    const std::vector<std::string>& numbers = in_.preparation->maps.house_numbers;
    const std::int32_t face = street.places[node].place.face;
    return node < numbers.size() && !numbers[node].empty() && face >= 0 &&
           name == numbers[node] + " " + street.faces.faces()[at(face)].street;
  }

  void mark_named(const std::vector<std::string>& names, const std::string& key, bool must) {
    for (const std::string& name : names) {
      bool found = false;
      for (std::size_t s = 0; s < out_.sites.size(); ++s) {
        if (!is_named(s, name)) {
          continue;
        }
        found = true;
        if (must) {
          out_.sites[s].must = true;
          continue;
        }
        if (out_.sites[s].must) {
          refuse(key, fmt::format("\"{}\" is in `must` and in `never`", out_.sites[s].id),
                 "each cut in one of the two", "take it out of one");
        }
        out_.sites[s].never = true;
        out_.left_out[s] = LeftOut::Never;
      }
      if (!found) {
        std::vector<std::string> known;
        for (const ChoiceSite& site : out_.sites) {
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
    for (std::size_t s = 0; s < out_.sites.size(); ++s) {
      if (out_.sites[s].must && out_.sites[s].never) {
        refuse("must",
               fmt::format("\"{}\" may not be built: {}", out_.sites[s].id,
                           out_.left_out[s] == LeftOut::OverALimit ? "it is over a limit, see screening.csv"
                                                                   : "its owner has not agreed"),
               "cuts that are not over a limit and whose owner has not said no", "take it out of must");
      }
    }
  }

  void check_prices() const {
    if (!asked_.money) {
      return;
    }
    std::set<std::string> missing;
    for (std::size_t s = 0; s < out_.sites.size(); ++s) {
      if (out_.sites[s].never) {
        continue;
      }
      if (in_.cost.empty() || !in_.cost[at(out_.nodes[s])].total) {
        refuse("money", "there is a limit on money, and no price", "prices in [money]",
               "give prices in [money], or take choose.money out");
      }
      for (const Priced what : in_.cost[at(out_.nodes[s])].without_price) {
        missing.emplace(priced_word(what));
      }
    }
    if (!missing.empty()) {
      refuse("money", fmt::format("there is a limit on money, and no price for {}", fmt::join(missing, ", ")),
             "a price in [money] for all that is needed",
             fmt::format("give [money] {} = …, or take choose.money out", *missing.begin()));
    }
  }

  std::int32_t storm_asked() const {
    std::vector<std::string> ids;
    for (std::size_t i = 0; i < in_.storms->size(); ++i) {
      ids.push_back((*in_.storms)[i].id);
      if (ids.back() == asked_.storm) {
        return static_cast<std::int32_t>(i);
      }
    }
    refuse("storm", fmt::format("there is no storm \"{}\"", asked_.storm),
           fmt::format("{}", fmt::join(ids, ", ")), "write one of these ids");
  }

  std::vector<std::int32_t> outfalls() const {
    std::set<std::int32_t> ends;
    for (std::int32_t node : out_.nodes) {
      while (network_.downstream[at(node)] >= 0) {
        node = network_.downstream[at(node)];
      }
      ends.insert(node);
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

  StormAim aim(const study::Storm& storm, base::Workers workers) const {
    StormAim aim;
    for (std::size_t n = 0; n < network_.size(); ++n) {
      const study::SiteOverrides* own = own_words(static_cast<std::int32_t>(n));
      aim.weights.push_back(own == nullptr ? 1.0 : own->weight.value_or(1.0));
    }
    if (std::all_of(aim.weights.begin(), aim.weights.end(), [](double w) { return w == 1.0; })) {
      aim.weights.clear();
    }
    if (asked_.aim == "captured") {
      return aim;
    }
    aim.outfalls = outfalls();
    if (asked_.aim == "peak") {
      aim.per_captured_m3 = 0.0;
      aim.per_peak_m3_s = 1.0;
      return aim;
    }
    const study::StormTrials today(in_.preparation->model, storm, workers);
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

  const ChosenCutsInputs& in_;
  const street::Network& network_;
  const study::ChooseSettings& asked_;
  ChosenCuts out_;
};

}  // namespace

void put_in_plan(const ChosenCuts& chosen, study::ChainModel& model) {
  for (const std::int32_t node : chosen.nodes) {
    model.params[at(node)].in_plan = false;
  }
  for (const std::size_t site : chosen.choice.build_order) {
    model.params[at(chosen.nodes[site])].in_plan = true;
  }
}

ChosenCuts choose_cuts(const ChosenCutsInputs& in, base::Workers workers) {
  return CutsToChoose(in).run(workers);
}

}  // namespace curbshed::siting
