#include "curbshed/cli/run_command.hpp"

#include "curbshed/base/layer_fields.hpp"
#include "curbshed/base/version.hpp"
#include "curbshed/cli/check_text.hpp"
#include "curbshed/cli/gather_inputs.hpp"
#include "curbshed/cli/interrupt.hpp"
#include "curbshed/cli/place.hpp"
#include "curbshed/cli/version_text.hpp"
#include "curbshed/cli/write_results.hpp"
#include "curbshed/geodata/coordinates.hpp"
#include "curbshed/geodata/output_folder.hpp"
#include "curbshed/report/terminal.hpp"
#include "curbshed/siting/chosen_cuts.hpp"
#include "curbshed/siting/full_levels.hpp"
#include "curbshed/siting/measures.hpp"
#include "curbshed/study/storms.hpp"
#include "curbshed/terrain/grid.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <cstdlib>
#include <memory>
#include <set>
#include <thread>

#include <fmt/format.h>
#include <sys/resource.h>

namespace curbshed::cli {
namespace {

constexpr int kMostThreads = 256;

std::vector<study::StormComparison> compare_all(const study::ChainModel& model,
                                                const std::vector<study::Storm>& storms,
                                                base::Workers workers, const base::Progress& progress) {
  std::vector<study::StormComparison> results(storms.size());
  std::atomic<int> done{0};
  const auto count = static_cast<std::int64_t>(storms.size());
  base::parallel_stripes(count, count, workers, [&](std::int64_t begin, std::int64_t end) {
    for (std::int64_t i = begin; i < end; ++i) {
      const auto n = static_cast<std::size_t>(i);
      results[n] = study::compare_storm(model, storms[n], true, workers);
      progress.share(static_cast<double>(++done) / static_cast<double>(count));
    }
  });
  return results;
}

/// The study's rules; a file is named in messages and results as the study names it.
siting::RuleSet rules_of(const study::Settings& settings) {
  if (settings.rules.file.empty()) return siting::default_rules();
  study::RuleRows rows = study::read_rule_rows(path_in_study(settings, settings.rules.file));
  siting::RuleSet rules = siting::rules_of(rows);
  rules.file = settings.rules.file;
  return rules;
}

constexpr const char* kReading = "reading the layers";
constexpr const char* kChoosing = "choosing the cuts";
constexpr const char* kStorms = "running the storms";
constexpr const char* kWriting = "writing the results";

/// What each step costs, in nanoseconds on the machine where a city of 100 million cells was measured; only
/// their ratio counts.
std::vector<std::pair<std::string, double>> costs_of(const GatheredInputs& gathered,
                                                     const std::vector<study::Storm>& storms, bool choosing,
                                                     bool dry) {
  const study::StudyInputs& inputs = gathered.inputs;
  const auto cells = static_cast<double>(inputs.ground.frame.cells());
  double curb_cells = 0.0;
  for (const terrain::CurbLine& curb : inputs.curbs) {
    curb_cells += base::length_m(curb.line) / inputs.ground.frame.cell_m;
  }
  const auto sites = static_cast<double>(inputs.sites.size());
  double steps = 0.0;
  for (const study::Storm& storm : storms) {
    steps += static_cast<double>(storm.rain_m.size());
  }
  std::vector<std::pair<std::string, double>> costs = {{kReading, 90.0 * cells},
                                                       {study::stage::kCurbs, 10e3 * curb_cells},
                                                       {study::stage::kWater, 330.0 * cells},
                                                       {study::stage::kBasins, 150e3 * sites},
                                                       {study::stage::kTimes, 160.0 * cells},
                                                       {study::stage::kAreas, 20.0 * cells}};
  if (!dry) {
    costs.emplace_back(kStorms, 900.0 * sites * steps);
    if (choosing) {
      costs.emplace_back(kChoosing, 2000.0 * sites * steps / static_cast<double>(storms.size()));
    }
    costs.emplace_back(kWriting, 180.0 * cells);
  }
  return costs;
}

report::Units shown_units(const Options& options, const geodata::Projection& projection) {
  return options.units.value_or(projection.unit == "m" ? report::Units::Metric : report::Units::Us);
}

/// The page is a result like the others: it does not depend on how the table is printed.
report::Units page_units(const study::Settings& settings, const geodata::Projection& projection) {
  if (settings.page.units.empty()) {
    return shown_units({}, projection);
  }
  return settings.page.units == "us" ? report::Units::Us : report::Units::Metric;
}

report::RunFacts facts_of(const study::Settings& settings, const GatheredInputs& gathered,
                          const study::Preparation& preparation,
                          const std::vector<study::StormComparison>& storms, const study::YearlyWater* year,
                          bool strict) {
  report::RunFacts facts;
  facts.version = base::version();
  facts.libraries = all_library_versions();
  facts.settings = &settings;
  facts.inputs = &gathered.inputs;
  facts.preparation = &preparation;
  facts.storms = &storms;
  facts.year = year;
  const geodata::GroundData& ground = gathered.ground;
  facts.crs_name = ground.projection.name;
  facts.crs_code = ground.projection.code;
  facts.crs_unit = ground.projection.unit;
  facts.metres_per_unit = ground.projection.metres_per_unit;
  facts.height_unit = ground.height_unit;
  facts.height_evidence = ground.height_unit_evidence;
  facts.strict = strict;
  for (const auto& place : geodata::longitudes_latitudes(preparation.model.network.at, ground.projection)) {
    facts.degrees.emplace_back();
    if (place) {
      facts.degrees.back() = report::Degrees{place->longitude_deg, place->latitude_deg};
    }
  }
  facts.files = gathered.files;
  for (report::InputFile& file : facts.files) {
    const auto outside = gathered.outside.find(file.role);
    if (file.features >= 0 && outside != gathered.outside.end()) file.outside = outside->second;
  }
  facts.set_aside = gathered.set_aside;
  return facts;
}

/// The study's cuts; with candidates both, in the network of these.
std::vector<siting::CutToChoose> cuts_to_choose(const study::Settings& settings,
                                                const PreparedStudy& prepared,
                                                const siting::Screening& screening) {
  const study::Preparation& preparation = prepared.preparation;
  const street::Network& network = preparation.model.network;
  std::vector<std::uint8_t> over_a_limit(network.size(), 0);
  std::set<std::string> over_ids;
  for (std::size_t i = 0; i < screening.nodes.size(); ++i) {
    const auto node = static_cast<std::size_t>(screening.nodes[i]);
    if (screening.verdicts[i].basin != siting::Outcome::OverLimit) continue;
    over_a_limit[node] = 1;
    over_ids.insert(network.id[node]);
  }
  if (!prepared.candidates) {
    return siting::cuts_of_run(preparation, prepared.gathered.inputs, settings, over_a_limit);
  }
  std::vector<siting::CutToChoose> cuts = prepared.candidates->to_choose;
  for (siting::CutToChoose& cut : cuts) {
    if (cut.candidate < 0) cut.over_a_limit = over_ids.count(cut.id) > 0;
  }
  return cuts;
}

}  // namespace

double peak_memory_mb() {
  struct rusage usage {};
  ::getrusage(RUSAGE_SELF, &usage);
  return static_cast<double>(usage.ru_maxrss) / 1024.0;  // Linux counts kilobytes
}

ThreadChoice choose_threads(const Options& options, const char* environment) {
  if (options.threads) {
    return {*options.threads, "flag"};
  }
  if (environment != nullptr && *environment != '\0') {
    const std::optional<double> number = base::parse_number(environment);
    if (!number || *number < 1.0 || *number > kMostThreads || *number != std::floor(*number)) {
      throw base::InputError({"CURBSHED_THREADS", "", ""},
                             fmt::format("\"{}\" is no number of threads", environment), "1 to 256",
                             "set it to a whole number, or use --threads");
    }
    return {static_cast<int>(*number), "environment"};
  }
  const int processors = static_cast<int>(std::thread::hardware_concurrency());
  return {std::clamp(processors, 1, kMostThreads), "default"};
}

int run_command(const Options& options, Console& console) {
  const bool dry = options.dry_run || options.command == Command::Check;
  const ThreadChoice choice = choose_threads(options, std::getenv("CURBSHED_THREADS"));
  const base::Workers workers{choice.threads};

  console.watch_memory();
  console.step("reading the study");
  const study::Settings settings = study::read_study(options.study);
  const std::vector<study::Storm> storms = study::storms_of(settings);
  const siting::RuleSet rules = rules_of(settings);
  std::unique_ptr<geodata::OutputFolder> folder;
  std::unique_ptr<InterruptGuard> guard;
  if (!dry) {
    const HoldInterrupts hold;
    folder = std::make_unique<geodata::OutputFolder>(geodata::OutputRequest{options.out, options.overwrite});
    guard = std::make_unique<InterruptGuard>(*folder);
  } else if (!options.out.empty()) {
    geodata::check_output_request({options.out, options.overwrite});
  }

  console.step(kReading);
  auto reuse = std::make_unique<terrain::KeptGridMemory>();
  base::Progress progress;
  PrepareOptions wanted;
  wanted.strict = options.strict;
  wanted.memory_bytes = options.memory_bytes.value_or(0);
  wanted.gathered = [&](const GatheredInputs& inputs) {
    console.weigh(costs_of(inputs, storms, settings.choose.asked(), dry));
    progress = console.progress();
    return progress;
  };
  wanted.looking = [&console] { console.step("looking for candidates"); };
  if (!dry) wanted.candidates_by = {&rules, &storms};
  PreparedStudy prepared = prepare_study(settings, wanted, {choice.threads, 0, 0});
  reuse.reset();
  GatheredInputs& gathered = prepared.gathered;
  const study::Preparation& preparation = prepared.preparation;
  note_set_aside(preparation, settings, {options.strict}, gathered);
  const report::Units units = shown_units(options, gathered.ground.projection);
  if (dry) {
    console.print(check_text(settings, prepared, storms, units));
    return kDone;
  }

  console.step(kStorms);
  const std::vector<study::StormComparison> results =
      compare_all(preparation.model, storms, workers, progress);
  const std::optional<study::YearlyWater> year = study::yearly_water(preparation.model, settings, workers);
  const study::FullWater water = study::full_water(preparation.model, storms, workers);
  const siting::FullLevels full =
      siting::full_levels({&settings, &gathered.inputs, &preparation, &water}, workers);
  const siting::Screening screening =
      siting::screen_cuts({&settings, &gathered.inputs, &preparation, &results, &rules, &full}, workers);
  std::optional<siting::ChosenCuts> chosen;
  if (settings.choose.asked()) {
    console.step(kChoosing);
    const bool with_candidates = prepared.candidates.has_value();
    chosen = siting::choose_cuts(with_candidates ? prepared.candidates->model : preparation.model,
                                 cuts_to_choose(settings, prepared, screening), settings, storms, workers);
  }
  std::optional<siting::CandidateResults> candidates;
  if (prepared.candidates) {
    candidates = siting::candidate_results(std::move(*prepared.candidates), storms, workers);
  }
  report::RunFacts facts =
      facts_of(settings, gathered, preparation, results, year ? &*year : nullptr, options.strict);
  facts.screening = &screening;
  facts.candidates = candidates ? &*candidates : nullptr;
  facts.full = &full;
  facts.chosen = chosen ? &*chosen : nullptr;
  const std::string page = report::terminal_text(facts, {units, console.colour()});
  console.step(kWriting);
  write_results(folder->partial(), facts, gathered.ground.projection,
                page_units(settings, gathered.ground.projection), workers, progress);
  console.finish();
  double peak_mb = peak_memory_mb();  // of the last step, since each step is counted anew
  for (const auto& step : console.memory_mb()) {
    peak_mb = std::max(peak_mb, step.second);
  }
  write_records(folder->partial(), facts,
                {choice.threads, choice.origin, console.seconds(), peak_mb, console.memory_mb()});
  folder->commit();
  console.print(page);
  return kDone;
}

}  // namespace curbshed::cli
