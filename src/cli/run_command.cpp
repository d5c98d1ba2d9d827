#include "curbshed/cli/run_command.hpp"

#include "curbshed/base/layer_fields.hpp"
#include "curbshed/base/version.hpp"
#include "curbshed/cli/check_text.hpp"
#include "curbshed/cli/gather_inputs.hpp"
#include "curbshed/cli/interrupt.hpp"
#include "curbshed/cli/place.hpp"
#include "curbshed/cli/version_text.hpp"
#include "curbshed/cli/write_results.hpp"
#include "curbshed/geodata/output_folder.hpp"
#include "curbshed/report/terminal.hpp"
#include "curbshed/study/storms.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <memory>
#include <thread>

#include <fmt/format.h>
#include <sys/resource.h>

namespace curbshed::cli {
namespace {

constexpr int kMostThreads = 256;

double peak_memory_mb() {
  struct rusage usage {};
  ::getrusage(RUSAGE_SELF, &usage);
  return static_cast<double>(usage.ru_maxrss) / 1024.0;  // Linux counts kilobytes
}

std::vector<study::StormComparison> compare_all(const study::ChainModel& model,
                                                const std::vector<study::Storm>& storms,
                                                base::Workers workers) {
  std::vector<study::StormComparison> results(storms.size());
  const auto count = static_cast<std::int64_t>(storms.size());
  base::parallel_stripes(count, count, workers, [&](std::int64_t begin, std::int64_t end) {
    for (std::int64_t i = begin; i < end; ++i) {
      const auto n = static_cast<std::size_t>(i);
      results[n] = study::compare_storm(model, storms[n], true);
    }
  });
  return results;
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
  facts.files = gathered.files;
  facts.set_aside = gathered.set_aside;
  return facts;
}

}  // namespace

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

  console.step("reading the study");
  const study::Settings settings = study::read_study(options.study);
  const std::vector<study::Storm> storms = study::storms_of(settings);
  std::unique_ptr<geodata::OutputFolder> folder;
  std::unique_ptr<InterruptGuard> guard;
  if (!dry) {
    const HoldInterrupts hold;
    folder = std::make_unique<geodata::OutputFolder>(geodata::OutputRequest{options.out, options.overwrite});
    guard = std::make_unique<InterruptGuard>(*folder);
  } else if (!options.out.empty()) {
    geodata::check_output_request({options.out, options.overwrite});
  }

  console.step("reading the layers and following the water on the ground");
  PreparedStudy prepared = prepare_study(settings, options.strict, {choice.threads, 0, 0});
  GatheredInputs& gathered = prepared.gathered;
  const study::Preparation& preparation = prepared.preparation;
  note_set_aside(preparation, settings, {options.strict}, gathered);
  const report::Units units = shown_units(options, gathered.ground.projection);
  if (dry) {
    console.print(check_text(settings, prepared, storms, units));
    return kDone;
  }

  console.step("running the storms");
  const std::vector<study::StormComparison> results = compare_all(preparation.model, storms, workers);
  const std::optional<study::YearlyWater> year = study::yearly_water(preparation.model, settings, workers);
  const report::RunFacts facts =
      facts_of(settings, gathered, preparation, results, year ? &*year : nullptr, options.strict);
  const std::string page = report::terminal_text(facts, {units, console.colour()});
  console.step("writing the results");
  write_results(folder->partial(), facts, gathered.ground.projection,
                page_units(settings, gathered.ground.projection), workers);
  console.finish();
  write_records(folder->partial(), facts,
                {choice.threads, choice.origin, console.seconds(), peak_memory_mb()});
  folder->commit();
  console.print(page);
  return kDone;
}

}  // namespace curbshed::cli
