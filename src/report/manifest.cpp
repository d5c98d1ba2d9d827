#include "curbshed/report/manifest.hpp"

#include "curbshed/base/ledger.hpp"
#include "curbshed/report/field_words.hpp"

#include "report/json_text.hpp"

#include <filesystem>

#include <fmt/format.h>

namespace curbshed::report {
namespace {

/// Values that hold a place in the user's files: a path outside the study's folder is cut to its name.
std::string setting_text(const std::string& key, const std::string& value) {
  const bool path =
      key == "ground.elevation" || (key.size() > 5 && key.compare(key.size() - 5, 5, ".file") == 0);
  return path && std::filesystem::path(value).is_absolute() ? std::filesystem::path(value).filename().string()
                                                            : value;
}

Json ledger_json(const base::WaterLedger& ledger) {
  Json json;
  for (const base::LedgerTerm& term : base::ledger_terms()) {
    json[std::string(term.key)] = ledger.*term.value;
  }
  json["in_m3"] = ledger.in_m3();
  json["out_m3"] = ledger.out_m3();
  json["stored_m3"] = ledger.stored_m3();
  json["gap_m3"] = ledger.gap_m3();
  return json;
}

Json inputs_json(const RunFacts& facts) {
  Json list = Json::array();
  for (const InputFile& file : facts.files) {
    Json json = {{"role", file.role}, {"file", file.file}};
    if (!file.layer.empty()) {
      json["layer"] = file.layer;
    }
    if (!file.sha256.empty()) {
      json["sha256"] = file.sha256;
      json["bytes"] = file.bytes;
    }
    if (!file.crs.empty()) {
      json["reference_system"] = file.crs;
    }
    if (file.features >= 0) {
      json["features"] = file.features;
      json["set_aside"] = file.set_aside;
      if (file.outside > 0) {
        json["outside_the_place"] = file.outside;
      }
    }
    list.push_back(std::move(json));
  }
  return list;
}

Json notes_json(const RunFacts& facts) {
  Json json = Json::object();
  const base::Notes notes = all_notes(facts);
  for (std::size_t i = 0; i < base::kNoteCount; ++i) {
    const auto id = static_cast<base::NoteId>(i);
    if (notes.has(id)) {
      json[std::string(base::note_text(id).key)] = {{"count", notes.at(id).count},
                                                    {"worst", notes.at(id).worst},
                                                    {"unit", base::note_text(id).unit},
                                                    {"first", notes.at(id).first_feature}};
    }
  }
  return json;
}

void add_when(Json& json, const std::string& key, const std::string& words) {
  if (!words.empty()) {
    json[key] = words;
  }
}

/// Every value that was measured on the street, with what it replaced; and who saw water.
Json field_json(const RunFacts& facts) {
  Json json = {{"overrides", Json::array()}, {"levels", Json::array()}, {"water_seen", Json::array()}};
  const std::vector<std::string>& ids = facts.preparation->model.network.id;
  for (const study::FieldOverride& one : facts.preparation->field.overrides) {
    const FieldUnit unit = field_unit(one.what);
    Json row = {{"place", ids[static_cast<std::size_t>(one.node)]},
                {"what", unit.name},
                {"value", one.value * unit.factor},
                {"unit", unit.unit},
                {"before", one.before * unit.factor},
                {"before_origin", one.before_from},
                {"by", one.by}};
    add_when(row, "method", one.method);
    add_when(row, "date", one.date);
    json["overrides"].push_back(std::move(row));
  }
  for (const study::WaterSeen& one : facts.preparation->field.water) {
    Json row = {{"place", ids[static_cast<std::size_t>(one.node)]}, {"seen", one.seen}, {"by", one.by}};
    add_when(row, "date", one.date);
    json["water_seen"].push_back(std::move(row));
  }
  for (const study::MeasuredLevel& one : facts.preparation->field.levels) {
    Json row = {{"place", ids[static_cast<std::size_t>(one.node)]},
                {"what", level_word(one.what)},
                {"value_m", one.value_m},
                {"error_m", one.error_m},
                {"by", one.by}};
    add_when(row, "method", one.method);
    add_when(row, "date", one.date);
    json["levels"].push_back(std::move(row));
  }
  return json;
}

}  // namespace

std::string manifest_json(const RunFacts& facts, const std::vector<OutputFile>& outputs) {
  Json json;
  json["format"] = 1;
  json["program"] = "curbshed";
  json["version"] = facts.version;
  json["libraries"] = Json::object();
  for (const auto& library : facts.libraries) {
    json["libraries"][library.first] = library.second;
  }
  const study::Settings& settings = *facts.settings;
  json["study"] = std::filesystem::path(settings.file).filename().string();
  json["inputs"] = inputs_json(facts);
  const terrain::GridFrame& frame = facts.inputs->ground.frame;
  json["ground"] = {{"rows", frame.rows},
                    {"columns", frame.cols},
                    {"cell_m", frame.cell_m},
                    {"reference_system", facts.crs_name},
                    {"code", facts.crs_code},
                    {"unit", facts.crs_unit},
                    {"height_unit", facts.height_unit},
                    {"height_unit_evidence", facts.height_evidence}};
  json["settings"] = Json::object();
  for (const auto& setting : settings.written) {
    json["settings"][setting.first] = {{"value", setting_text(setting.first, setting.second)},
                                       {"origin", settings.origin.at(setting.first)}};
  }
  if (facts.settings->street.field.given() || facts.settings->street.levels.given()) {
    json["field"] = field_json(facts);
  }
  json["strict"] = facts.strict;
  json["ledgers"] = Json::object();
  for (const study::StormComparison& storm : *facts.storms) {
    Json ledgers = {{"base", ledger_json(storm.base.ledger)},
                    {"with_cuts", ledger_json(storm.with_cuts.ledger)}};
    if (!storm.second.nodes.empty()) {
      ledgers["second_storm"] = ledger_json(storm.second.ledger);
    }
    json["ledgers"][storm.storm.id] = std::move(ledgers);
  }
  json["notes"] = notes_json(facts);
  json["outputs"] = Json::object();
  for (const OutputFile& file : outputs) {
    json["outputs"][file.name] = file.sha256;
  }
  return json_text(json);
}

std::string run_log_json(const RunLog& log) {
  Json json;
  json["threads"] = log.threads;
  json["threads_origin"] = log.threads_origin;
  json["stages_s"] = Json::object();
  for (const auto& stage : log.stages_s) {
    json["stages_s"][stage.first] = stage.second;
  }
  if (!log.stages_peak_mb.empty()) {
    json["stages_peak_mb"] = Json::object();
    for (const auto& stage : log.stages_peak_mb) {
      json["stages_peak_mb"][stage.first] = stage.second;
    }
  }
  json["peak_memory_mb"] = log.peak_memory_mb;
  return json_text(json);
}

std::string json_library_version() {
  return fmt::format("{}.{}.{}", NLOHMANN_JSON_VERSION_MAJOR, NLOHMANN_JSON_VERSION_MINOR,
                     NLOHMANN_JSON_VERSION_PATCH);
}

}  // namespace curbshed::report
