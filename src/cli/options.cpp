#include "curbshed/cli/options.hpp"

#include "curbshed/cli/desk_command.hpp"
#include "curbshed/cli/memory_size.hpp"

#include <string_view>

#include <CLI/CLI.hpp>

namespace curbshed::cli {
namespace {

constexpr std::string_view kHelp =
    R"(curbshed: if we cut the curb here and dig a basin behind it, what happens?

It reads an elevation model, curbs, surfaces and the places of possible curb cuts. For every cut it tells how much
street runoff comes by, what the basin takes, and what peak is left downstream.

  curbshed start FOLDER --elevation F --streets F    write a study from the files that you have
  curbshed run STUDY.toml --out FOLDER    compute a study and write the results
  curbshed check STUDY.toml               open and check everything, write nothing
  curbshed desk CHECK …                   one number of a handbook worked by hand; `curbshed desk --help`
  curbshed ground ELEVATION --out FOLDER  where water stands and runs on bare ground of any size
  curbshed licences                       whose work is in it, and on what terms
  curbshed --version                      versions of curbshed and its libraries
  curbshed --help                         this text; `curbshed run --help` has the flags

Exit codes: 0 done, 1 the input cannot be used, 2 the command line is wrong, 3 a bug of ours, 130 interrupted.
Screening only: not for drainage design, flood zones or permits.
)";

constexpr std::string_view kRunHelp = R"(curbshed run STUDY.toml --out FOLDER

Computes the study and writes layers, tables and rasters to FOLDER, all or nothing. The result is printed as a table.

  --out FOLDER       where the results go; a folder of its own
  --overwrite        replace the results of an earlier run
  --dry-run          like `curbshed check`: check everything, write nothing
  --threads N        1 to 256; without it CURBSHED_THREADS, else all processors; results do not depend on it
  --units us|metric  units of the printed table; files keep the unit in each name
                     (without it: the units of the elevation model's reference system)
  --memory SIZE      the most that the run may take, such as 4GB; a larger study is refused before it is read
                     (without it: what the machine has)
  --strict           a feature that cannot be used is an error instead of being set aside
  -q, --quiet        print nothing but errors
  -v, --verbose      tell each step on stderr
  -h, --help         this text

Environment: CURBSHED_THREADS as --threads; NO_COLOR to print without colour.
)";

constexpr std::string_view kGroundHelp = R"(curbshed ground ELEVATION --out FOLDER

Reads an elevation model that GDAL opens and writes three rasters to FOLDER/rasters, all or nothing: standing_water_m
(depth of water before it finds a way out), water_runs_toward_deg (compass bearing, -1 where it stops) and
cells_arriving (cells that drain through each cell). No streets, curbs or drains are looked at. A raster that does not
fit into the memory is worked on in bands of rows, with temporary data in FOLDER's disk; the rasters are the same.

  --out FOLDER       where the results go; a folder of its own
  --overwrite        replace the results of an earlier run
  --memory SIZE      the most that the program may take in all, such as 512MB or 4GB (without it: what the machine has)
  --height-unit UNIT m, ft or usft, when the file does not say
  --threads N        1 to 256; without it CURBSHED_THREADS, else all processors; results do not depend on it
  -q, --quiet        print nothing but errors
  -v, --verbose      tell each step on stderr, with the memory that is needed
  -h, --help         this text
)";

constexpr std::string_view kStartHelp = R"(curbshed start FOLDER --elevation FILE --streets FILE

Looks at the files, and writes FOLDER/study.toml with everything found and every question that only you can answer,
and FOLDER/cuts.csv with trial cuts along the block faces. Then: curbshed check, curbshed run. All or nothing.

  --elevation FILE       bare-earth heights; any raster in metres or feet (not in degrees)
  --streets FILE         middle lines of streets, or street pavement as polygons
  --buildings FILE       buildings as polygons
  --lots FILE            lots as polygons
  --cuts FILE            your own points instead of trial cuts: id and x, y or longitude, latitude
  --layer FLAG=NAME      which layer of a file with several: --layer streets=roads
  --corners W S E N      the place, out of a larger model
  --corners-crs CODE     system of the corners: EPSG:4326 for longitude and latitude (else the elevation's)
  --place FILE           the place as polygons, instead of corners
  --height-unit UNIT     m, ft or usft, where the elevation file does not say
  --title TEXT           name of the study
  --two-year-1h DEPTH    rain of the 2-year, 1-hour storm: "22 mm", "0.9 in"
  --ten-year-1h DEPTH    rain of the 10-year, 1-hour storm
  --infiltration RATE    "25 mm/h measured", "1 in/h study", "10 mm/h soil map"
  --overwrite            replace the study that is there
  -q, --quiet            print nothing but errors
  -v, --verbose          tell each step on stderr
  -h, --help             this text

What is not said (rain, infiltration) becomes a placeholder that every output names until you replace it.
)";

constexpr std::string_view kCheckHelp = R"(curbshed check STUDY.toml

Opens and checks everything that a run would, and tells what it found: reference system, units, sizes, memory, layers,
features set aside. Writes nothing.

  --threads N        1 to 256; without it CURBSHED_THREADS, else all processors
  --units us|metric  units of what is printed
  --memory SIZE      as of `curbshed run`
  --strict           a feature that cannot be used is an error instead of being set aside
  -q, --quiet        print nothing but errors
  -v, --verbose      tell each step on stderr
  -h, --help         this text
)";

/// --memory, kept as bytes.
void add_memory(CLI::App& command, Options& options) {
  const auto take = [&options](const std::string& text) {
    options.memory_bytes = parse_memory_size(text);
    if (!options.memory_bytes) {
      throw CLI::ValidationError("--memory", "\"" + text + "\" is no size such as 512MB or 4GB");
    }
  };
  command.add_option_function<std::string>("--memory", take, "size");
}

void add_for_all(CLI::App& command, Options& options) {
  command.add_option("--threads", options.threads, "threads")->check(CLI::Range(1, 256));
  command.add_flag("-q,--quiet", options.quiet);
  command.add_flag("-v,--verbose", options.verbose);
}

/// Every flag of the desk is text here: its own table knows units and ranges.
void add_desk(CLI::App& app, Options& options) {
  CLI::App* desk = app.add_subcommand("desk");
  desk->require_subcommand(0, 1);
  for (const DeskCheck& check : desk_checks()) {
    CLI::App* one = desk->add_subcommand(std::string(check.name));
    for (const DeskFlag& flag : check.flags) {
      const std::string name(flag.name);
      one->add_option_function<std::string>(
          "--" + name, [&options, name](const std::string& text) { options.desk_flags[name] = text; });
    }
    one->add_flag("--json", options.json);
    one->callback([&options, &check] { options.desk_check = check.name; });
  }
}

const DeskCheck* asked_check(const CLI::App& app) {
  const CLI::App* desk = app.get_subcommand("desk");
  for (const DeskCheck& check : desk_checks()) {
    if (desk->get_subcommand(std::string(check.name))->parsed()) return &check;
  }
  return nullptr;
}

void add_common(CLI::App& command, Options& options, std::string& units) {
  command.add_option("STUDY", options.study, "study file")->required();
  add_for_all(command, options);
  command.add_option("--units", units, "units")->check(CLI::IsMember({"us", "metric"}));
  command.add_flag("--strict", options.strict);
  add_memory(command, options);
}

void add_start(CLI::App& app, Options& options, std::vector<std::string>& layers) {
  CLI::App& command = *app.add_subcommand("start");
  StartOptions& start = options.start;
  command.add_option("FOLDER", start.folder)->required();
  command.add_option("--elevation", start.elevation)->required();
  command.add_option("--streets", start.streets)->required();
  command.add_option("--buildings", start.buildings);
  command.add_option("--lots", start.lots);
  command.add_option("--cuts", start.cuts);
  command.add_option("--layer", layers)->take_all();
  CLI::Option* corners = command.add_option("--corners", start.corners)->expected(4);
  command.add_option("--corners-crs", start.corners_crs)->needs(corners);
  command.add_option("--place", start.place)->excludes(corners);
  command.add_option("--height-unit", start.height_unit)->check(CLI::IsMember({"m", "ft", "usft"}));
  command.add_option("--title", start.title);
  command.add_option("--two-year-1h", start.two_year);
  command.add_option("--ten-year-1h", start.ten_year);
  command.add_option("--infiltration", start.infiltration);
  command.add_flag("--overwrite", start.overwrite);
  command.add_flag("-q,--quiet", options.quiet);
  command.add_flag("-v,--verbose", options.verbose);
}

/// "streets=roads" → layers["streets"] = "roads". False when one of them is not so.
bool split_layers(const std::vector<std::string>& words, StartOptions& start) {
  for (const std::string& word : words) {
    const std::size_t sign = word.find('=');
    if (sign == std::string::npos || sign == 0 || sign + 1 == word.size()) {
      return false;
    }
    start.layers[word.substr(0, sign)] = word.substr(sign + 1);
  }
  return true;
}

Parsed leave(int code, std::string text) {
  Parsed parsed;
  parsed.leave = true;
  parsed.exit_code = code;
  parsed.text = std::move(text);
  return parsed;
}

}  // namespace

Parsed parse_command_line(int count, const char* const* words) {
  Parsed parsed;
  Options& options = parsed.options;
  std::string units;
  bool version = false;

  CLI::App app("curbshed", "curbshed");
  app.add_flag("--version", version);
  std::vector<std::string> start_layers;
  add_start(app, options, start_layers);
  CLI::App* run = app.add_subcommand("run");
  add_common(*run, options, units);
  CLI::Option* out = run->add_option("--out", options.out, "folder");
  run->add_flag("--overwrite", options.overwrite);
  run->add_flag("--dry-run", options.dry_run);
  CLI::App* check = app.add_subcommand("check");
  add_common(*check, options, units);
  CLI::App* ground = app.add_subcommand("ground");
  ground->add_option("ELEVATION", options.elevation, "elevation model")->required();
  ground->add_option("--out", options.out, "folder")->required();
  ground->add_flag("--overwrite", options.overwrite);
  ground->add_option("--height-unit", options.height_unit, "unit")->check(CLI::IsMember({"m", "ft", "usft"}));
  add_memory(*ground, options);
  add_for_all(*ground, options);
  CLI::App* licences = app.add_subcommand("licences");
  add_desk(app, options);
  app.require_subcommand(0, 1);

  try {
    app.parse(count, words);
  } catch (const CLI::CallForHelp&) {
    if (app.got_subcommand("start")) {
      return leave(kDone, std::string(kStartHelp));
    }
    if (app.got_subcommand("desk")) {
      const DeskCheck* one = asked_check(app);
      return leave(kDone, one != nullptr ? desk_help(*one) : desk_help());
    }
    return leave(kDone, std::string(run->parsed()      ? kRunHelp
                                    : check->parsed()  ? kCheckHelp
                                    : ground->parsed() ? kGroundHelp
                                                       : kHelp));
  } catch (const CLI::ParseError& error) {
    return leave(kBadCommandLine, std::string("curbshed: ") + error.what() + "\nSee `curbshed --help`.\n");
  }
  if (version) {
    options.command = Command::Version;
    return parsed;
  }
  if (app.got_subcommand("start")) {
    if (!split_layers(start_layers, options.start)) {
      return leave(
          kBadCommandLine,
          "curbshed: --layer reads FLAG=NAME, as --layer streets=roads\nSee `curbshed start --help`.\n");
    }
    options.command = Command::Start;
    return parsed;
  }
  if (app.got_subcommand("desk")) {
    if (options.desk_check.empty()) return leave(kBadCommandLine, desk_help());
    options.command = Command::Desk;
    return parsed;
  }
  if (licences->parsed()) {
    options.command = Command::Licences;
    return parsed;
  }
  if (!run->parsed() && !check->parsed() && !ground->parsed()) {
    return leave(kBadCommandLine, std::string(kHelp));
  }
  options.command = run->parsed() ? Command::Run : check->parsed() ? Command::Check : Command::Ground;
  if (run->parsed() && !options.dry_run && out->count() == 0) {
    return leave(kBadCommandLine,
                 "curbshed: run needs --out FOLDER (or --dry-run)\nSee `curbshed run --help`.\n");
  }
  if (options.quiet && options.verbose) {
    return leave(kBadCommandLine, "curbshed: --quiet and --verbose cannot stand together\n");
  }
  if (!units.empty()) {
    options.units = units == "us" ? report::Units::Us : report::Units::Metric;
  }
  return parsed;
}

std::string parser_version() { return CLI11_VERSION; }

}  // namespace curbshed::cli
