#include "curbshed/cli/start_command.hpp"

#include "curbshed/base/measure_text.hpp"
#include "curbshed/cli/centreline_layer.hpp"
#include "curbshed/cli/place.hpp"
#include "curbshed/cli/start_cuts.hpp"
#include "curbshed/cli/start_study.hpp"
#include "curbshed/geodata/csv.hpp"
#include "curbshed/geodata/ground.hpp"
#include "curbshed/report/display.hpp"
#include "curbshed/siting/rules.hpp"

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <string_view>

#include <fmt/format.h>

namespace curbshed::cli {
namespace {

namespace fs = std::filesystem;
using base::InputError;

/// Placeholders for what only the user can look up or measure. They stand for no place; every output names
/// them as assumed until they are replaced.
constexpr const char* kTwoYear = "20 mm";
constexpr const char* kTenYear = "35 mm";
constexpr const char* kSoak = "10 mm/h";

/// "my-street" reads "My street".
std::string title_of(const fs::path& folder) {
  const fs::path whole = fs::absolute(folder).lexically_normal();
  std::string title = (whole.has_filename() ? whole : whole.parent_path()).filename().string();
  std::replace_if(
      title.begin(), title.end(), [](char c) { return c == '-' || c == '_'; }, ' ');
  if (!title.empty() && title.front() >= 'a' && title.front() <= 'z') {
    title.front() = static_cast<char>(title.front() - 'a' + 'A');
  }
  return title;
}

/// What geodata advises to the writer of a study, for one who has none yet.
std::string advice_for_start(const std::string& next) {
  constexpr std::pair<std::string_view, std::string_view> kInstead[] = {
      {"it counts from the folder of the study file", "check the path"},
      {"correct [place]", "correct --corners and --corners-crs, or give the elevation model of that place"},
      {"beside the layer in the study", "ask its maker, then write it into the file (ogr2ogr -a_srs)"},
      {"leave the layer out of the study", "give another file, or another layer with --layer"},
      {"name one of them in the study", "name one of them with --layer"},
      {"write height_unit", "say it with --height-unit m or --height-unit ft (US survey feet: usft)"}};
  for (const auto& one : kInstead) {
    if (next.find(one.first) != std::string::npos) return std::string(one.second);
  }
  return next;
}

class Starter {
 public:
  explicit Starter(const StartOptions& asked) : asked_(asked), folder_(asked.folder) {}

  std::string start() {
    refuse_existing();
    look_at_ground();
    add_layer("lots.buildings", asked_.buildings, "buildings");
    add_layer("lots.lots", asked_.lots, "lots");
    const bool drawn = sort_of_file(asked_.streets) == base::ShapeKind::Polygon;
    add_layer(drawn ? "street.pavement" : "street.centrelines", asked_.streets, "streets");
    std::vector<TrialCut> cuts;
    if (asked_.cuts.empty()) {
      cuts = propose(drawn);
    } else {
      add_layer("street.cuts", asked_.cuts, "cuts");
    }
    sort_layers();
    say_values();
    write(cuts);
    return words(cuts);
  }

 private:
  fs::path study_file() const { return folder_ / "study.toml"; }
  fs::path cuts_file() const { return folder_ / "cuts.csv"; }
  fs::path rules_file() const { return folder_ / "rules.toml"; }

  void refuse_existing() const {
    for (const fs::path& file : {study_file(), cuts_file()}) {
      const bool ours = file == study_file() || asked_.cuts.empty();
      if (ours && fs::exists(file) && !asked_.overwrite) {
        throw InputError({file.string(), "", ""}, "there is such a file already", "a folder without a study",
                         "take another folder, or --overwrite to replace it");
      }
    }
    if (fs::exists(folder_) && !fs::is_directory(folder_)) {
      throw InputError({folder_.string(), "", ""}, "this is no folder", "a folder, there or not yet",
                       "take another name");
    }
  }

  /// How the study names a file: from its own folder on.
  std::string written(const std::string& path) const {
    const std::size_t colon = path.find(':');
    if (fs::path(path).is_absolute() || (colon != std::string::npos && colon > 1)) {
      return path;
    }
    return fs::absolute(path)
        .lexically_normal()
        .lexically_relative(fs::absolute(folder_).lexically_normal())
        .generic_string();
  }

  void look_at_ground() {
    const geodata::GroundExtent extent = geodata::ground_extent(asked_.elevation);
    whole_ = extent.box();
    set_place();
    study::Settings settings = settings_with(asked_.place.empty() ? "" : asked_.place);
    if (!asked_.corners.empty()) {
      settings.place.west = asked_.corners[0];
      settings.place.south = asked_.corners[1];
      settings.place.east = asked_.corners[2];
      settings.place.north = asked_.corners[3];
      settings.place.crs = asked_.corners_crs;
    }
    const Place place = read_place(settings, extent.projection);
    geodata::GroundSource source;
    source.file = asked_.elevation;
    source.height_unit = asked_.height_unit;
    source.bytes_a_cell = kBytesACell;
    if (place.given) {
      source.window = place.with_margin;
    }
    try {
      ground_ = geodata::read_ground(source);
    } catch (const InputError& error) {
      if (error.next().find("height_unit") == std::string::npos) {
        throw;
      }
      throw InputError(error.where(), error.met(), error.allowed(),
                       "say it with --height-unit m or --height-unit ft (US survey feet: usft)");
    }
    const terrain::GridFrame& frame = ground_.ground.frame;
    read_.add({frame.west_m, frame.north_m});
    read_.add({frame.west_m + static_cast<double>(frame.cols) * frame.cell_m,
               frame.north_m - static_cast<double>(frame.rows) * frame.cell_m});
    cuts_box_ = place.given ? place.asked : read_;
    clip_ = place.given ? std::optional<base::Box>(read_) : std::nullopt;
    study_.found = {fmt::format("{} × {} cells of {:g} m here, {:.1f} m to {:.1f} m high", frame.cols,
                                frame.rows, frame.cell_m, ground_.lowest_m, ground_.highest_m),
                    fmt::format("reference system {}{}, in {}", ground_.projection.name,
                                ground_.projection.code.empty() ? "" : " (" + ground_.projection.code + ")",
                                ground_.projection.unit),
                    fmt::format("heights in {}: {}", ground_.height_unit,
                                asked_.height_unit.empty() ? ground_.height_unit_evidence
                                                           : "as you said with --height-unit")};
    if (frame.cell_m > 1.05) {
      study_.found.push_back(
          "cells over 1 m hardly show the crown of a street: take a finer model if there is one");
    }
    study_.values["ground.elevation"] = toml_text(written(asked_.elevation));
    if (!asked_.height_unit.empty()) {
      study_.values["ground.height_unit"] = toml_text(asked_.height_unit);
    }
  }

  /// Settings that name a polygon layer of the place.
  study::Settings settings_with(const std::string& area) const {
    study::Settings settings;
    settings.file = study_file().string();
    settings.place.area.file = area;
    return settings;
  }

  void set_place() {
    static constexpr const char* kSides[] = {"place.west", "place.south", "place.east", "place.north"};
    const std::vector<double>& sides = asked_.corners;
    if (sides.size() == 4 && !(sides[0] < sides[2] && sides[1] < sides[3])) {
      throw InputError({"--corners", "", ""},
                       fmt::format("west {:g} to east {:g}, south {:g} to north {:g} is no rectangle",
                                   sides[0], sides[2], sides[1], sides[3]),
                       "west below east, south below north", "exchange them; longitudes west are negative");
    }
    for (std::size_t i = 0; i < asked_.corners.size(); ++i) {
      study_.values[kSides[i]] = fmt::format("{}", asked_.corners[i]);
    }
    if (!asked_.corners_crs.empty()) {
      study_.values["place.crs"] = toml_text(asked_.corners_crs);
    }
    if (!asked_.place.empty()) {
      StartLayer area;
      area.part = "place.area";
      area.source.file = written(asked_.place);
      study_.layers.push_back(std::move(area));
    }
  }

  void add_layer(const std::string& part, const std::string& path, const std::string& flag) {
    if (path.empty()) {
      return;
    }
    const auto named = asked_.layers.find(flag);
    const StartFile file{part, path, written(path), named == asked_.layers.end() ? "" : named->second};
    study_.layers.push_back(find_layer(file, ground_.projection, whole_, clip_));
  }

  void sort_layers() {
    std::sort(study_.layers.begin(), study_.layers.end(),
              [](const StartLayer& a, const StartLayer& b) { return a.part < b.part; });
  }

  std::vector<TrialCut> propose(bool drawn) {
    const StartLayer& streets = study_.layers.back();
    std::vector<terrain::CurbLine> curbs;
    std::vector<bool> use;
    if (drawn) {
      std::vector<base::Polygon> pavement;
      for (const base::Shape& shape : streets.data.layer.shapes) {
        pavement.insert(pavement.end(), shape.polygons.begin(), shape.polygons.end());
      }
      curbs = terrain::curbs_from_pavement(pavement, study::StreetSettings{}.curb_height_m);
      use.assign(curbs.size(), true);
    } else {
      study::Settings settings;
      settings.file = study_file().string();
      settings.street.centrelines = streets.source;
      settings.street.centrelines.file = asked_.streets;
      StudyLayer layer(settings, "street.centrelines", ground_.projection, whole_, false, clip_);
      street::StreetCurbs found = street::curbs_from_centrelines(
          centrelines_of(layer, settings), ground_.ground, centreline_settings(settings));
      for (const street::CurbFacts& facts : found.facts) {
        use.push_back(facts.water_runs_along);
      }
      curbs = std::move(found.curbs);
    }
    std::vector<TrialCut> cuts = trial_cuts(curbs, use, ground_.ground, cuts_box_);
    if (cuts.empty()) {
      throw InputError({asked_.streets, "", ""}, "no curb is long enough for a trial cut at this place",
                       "block faces of 25 m or more on the elevation model",
                       "take a larger place, or give your own points with --cuts");
    }
    StartLayer layer;
    layer.part = "street.cuts";
    layer.source.file = "cuts.csv";
    layer.source.fields = {{"id", {"id", ""}}, {"x", {"x", ""}}, {"y", {"y", ""}}};
    layer.found = {
        fmt::format("no cuts were given: {} trial cuts, in the middle and at the lower end of each block "
                    "face; move, add and take away rows as you like",
                    cuts.size())};
    study_.layers.push_back(std::move(layer));
    return cuts;
  }

  /// A value from the command line, or a placeholder that says so.
  void say(const std::string& key, const std::string& given, const char* placeholder,
           base::Dimension dimension, const char* flag, std::string_view replace) {
    if (given.empty()) {
      study_.values[key] = fmt::format("\"{} {}\"", placeholder, study::kAssumed);
      study_.comments[key] = fmt::format("REPLACE: {} The value here is a placeholder of no place.", replace);
      return;
    }
    try {
      base::parse_measure(given, dimension);
    } catch (const InputError& error) {
      throw InputError({flag, "", ""}, error.met(), error.allowed(), error.next());
    }
    study_.values[key] = toml_text(given);
  }

  void say_values() {
    study_.title = asked_.title.empty() ? title_of(folder_) : asked_.title;
    say("rain.two_year_1h", asked_.two_year, kTwoYear, base::Dimension::Length, "--two-year-1h",
        "the rain of the 2-year, 1-hour storm, from the published precipitation-frequency table of your "
        "place.");
    say("rain.ten_year_1h", asked_.ten_year, kTenYear, base::Dimension::Length, "--ten-year-1h",
        "the rain of the 10-year, 1-hour storm, from the same table.");
    std::string soak = asked_.infiltration;
    std::string origin = soak.empty() ? std::string(study::kAssumed) : std::string("study");
    for (const std::string_view known : {"measured", "study", "soil map"}) {
      if (soak.size() > known.size() + 1 && soak.substr(soak.size() - known.size()) == known) {
        origin = known;
        soak.resize(soak.size() - known.size());
        soak.erase(soak.find_last_not_of(' ') + 1);
      }
    }
    say("basin.infiltration", soak, kSoak, base::Dimension::Rate, "--infiltration",
        "how fast water sinks into the ground where you would dig; fill a hole with water twice and time the "
        "second fall.");
    study_.values["basin.infiltration_origin"] = toml_text(origin);
    study_.values["rules.file"] = toml_text(rules_file().filename().string());
  }

  /// `as`: the name that the file gets in the end.
  static void write_text(const fs::path& path, const fs::path& as, const std::string& text) {
    std::ofstream file(path, std::ios::binary);
    file << text;
    file.close();
    if (!file) {
      throw InputError({as.string(), "", ""}, "the file cannot be written", "a folder that you may write to",
                       "check the permissions and the space left");
    }
  }

  void write(const std::vector<TrialCut>& cuts) {
    const bool had_folder = fs::exists(folder_);
    const fs::path study = folder_ / ".partial-study.toml";
    const fs::path points = folder_ / ".partial-cuts.csv";
    const bool had_rules = fs::exists(rules_file());  // somebody's own: it stays
    std::error_code failure;
    fs::create_directories(folder_, failure);
    try {
      if (failure) {
        throw InputError({folder_.string(), "", ""}, failure.message(), "a folder that you may write to",
                         "take another folder");
      }
      if (asked_.cuts.empty()) {
        geodata::CsvInfo info;
        info.digits = {{"x", 2}, {"y", 2}};
        geodata::write_csv(points.string(), table_of(cuts), info);
      }
      write_text(study, study_file(), study_text(study_));
      if (!had_rules) write_text(rules_file(), rules_file(), siting::rules_toml(siting::default_rules()));
      study::read_study(study.string());  // values of the command line that a study would not take
      if (asked_.cuts.empty()) {
        fs::rename(points, cuts_file());
      }
      fs::rename(study, study_file());
    } catch (...) {
      fs::remove(study, failure);
      fs::remove(points, failure);
      if (!had_rules) fs::remove(rules_file(), failure);
      if (!had_folder) {
        fs::remove(folder_, failure);
      }
      throw;
    }
  }

  base::Table table_of(const std::vector<TrialCut>& cuts) const {
    base::Table table;
    table.name = "cuts";
    using base::ColumnType;
    table.columns = {{"id", "", "", ColumnType::Text},
                     {"x", "", "", ColumnType::Real},
                     {"y", "", "", ColumnType::Real},
                     {"words", "", "", ColumnType::Text}};
    for (const TrialCut& cut : cuts) {
      table.rows.push_back({cut.id, cut.at.x_m / ground_.projection.metres_per_unit,
                            cut.at.y_m / ground_.projection.metres_per_unit, cut.words});
    }
    return table;
  }

  std::string words(const std::vector<TrialCut>& cuts) const {
    std::string page;
    const auto add = [&](std::string_view lead, const std::string& text) {
      std::string_view now = lead;
      for (const std::string& line : report::wrapped(text, 96)) {
        page += fmt::format("{}{}\n", now, line);
        now = "    ";
      }
    };
    page += "Found:\n";
    for (const std::string& line : study_.found) {
      add("  - ", line);
    }
    std::vector<std::string> questions;
    for (const StartLayer& layer : study_.layers) {
      for (const std::string& line : layer.found) {
        add("  - ", line);
      }
      questions.insert(questions.end(), layer.questions.begin(), layer.questions.end());
    }
    for (const auto& entry : study_.comments) {
      if (entry.second.rfind("REPLACE: ", 0) == 0) {
        questions.push_back(fmt::format("{}: {}", entry.first, entry.second.substr(9)));
      }
    }
    if (!questions.empty()) {
      page += "\nOnly you can answer (in study.toml):\n";
      for (const std::string& line : questions) {
        add("  - ", line);
      }
    }
    const std::string study = study_file().generic_string();
    page += fmt::format("\nWritten: {}{}\n", study,
                        asked_.cuts.empty() ? fmt::format(" and {} ({} trial cuts)",
                                                          cuts_file().generic_string(), cuts.size())
                                            : std::string());
    page +=
        fmt::format("Rules for places, to be changed to your city's: {}\n", rules_file().generic_string());
    page += fmt::format("Next:\n  curbshed check {}\n  curbshed run {} --out {}\n", study, study,
                        (folder_ / "results").generic_string());
    return page;
  }

  const StartOptions& asked_;
  fs::path folder_;
  StartStudy study_;
  geodata::GroundData ground_;
  base::Box whole_;
  base::Box read_;
  base::Box cuts_box_;
  std::optional<base::Box> clip_;
};

}  // namespace

int start_command(const Options& options, Console& console) {
  console.step("looking at the files");
  try {
    console.print(Starter(options.start).start());
  } catch (const InputError& error) {
    throw InputError(error.where(), error.met(), error.allowed(), advice_for_start(error.next()));
  }
  return kDone;
}

}  // namespace curbshed::cli
