#include "curbshed/report/summary.hpp"

#include "curbshed/report/candidate_tables.hpp"
#include "curbshed/report/cautions.hpp"
#include "curbshed/report/field_words.hpp"
#include "curbshed/report/lots.hpp"
#include "curbshed/report/screening.hpp"
#include "curbshed/report/sheets.hpp"
#include "curbshed/report/side_tables.hpp"

#include "report/json_text.hpp"

#include <algorithm>

namespace curbshed::report {
namespace {

std::string verdict(const PeakChange& change) {
  if (change.rises()) {
    return "higher";
  }
  return change.useful() ? "lower" : "no useful change";
}

Json peak_json(const RunFacts& facts, const PeakChange& change) {
  Json json;
  if (change.node >= 0) {
    json["at"] = node_words(facts, change.node);
  }
  json["before_l_s"] = change.before_m3_s * 1000.0;
  json["after_l_s"] = change.after_m3_s * 1000.0;
  json["change_percent"] = change.change() * 100.0;
  json["result"] = verdict(change);
  return json;
}

Json storms_json(const RunFacts& facts) {
  Json list = Json::array();
  for (const study::StormComparison& storm : *facts.storms) {
    const StormSums sums = sums_of(facts, storm);
    Json json;
    json["id"] = storm.storm.id;
    json["title"] = storm.storm.title;
    json["rain_mm"] = storm.storm.depth_m() * 1000.0;
    json["reaching_cuts_m3"] = sums.reaching_m3;
    json["captured_m3"] = sums.taken_m3;
    json["captured_other_m3"] = nullptr;
    if (sums.other_taken_m3) json["captured_other_m3"] = *sums.other_taken_m3;
    json["over_rims_m3"] = sums.over_rims_m3;
    json["lots_kept_m3"] = nullptr;
    if (const std::optional<LotSums> lots = lot_sums(storm)) json["lots_kept_m3"] = lots->kept_m3;
    json["second_captured_m3"] = sums.second_taken_m3;
    json["downstream_ends"] = Json::array();
    for (const std::int32_t end : sums.ends) {
      json["downstream_ends"].push_back(node_words(facts, end));
    }
    json["downstream_peak"] = peak_json(facts, sums.downstream);
    json["rises"] = Json::array();
    for (const PeakChange& rise : sums.rises) {
      json["rises"].push_back(peak_json(facts, rise));
    }
    list.push_back(std::move(json));
  }
  return list;
}

Json year_json(const RunFacts& facts) {
  if (facts.year == nullptr) {
    return nullptr;
  }
  const YearSums sums = year_sums(facts);
  Json json;
  json["rain_mm"] = facts.year->rain_m * 1000.0;
  json["reference_et_mm"] = facts.year->reference_et_m * 1000.0;
  json["plant_factor"] = facts.settings->trees.plant_factor;
  json["captured_m3"] = sums.water_m3;
  json["captured_by_month_m3"] = Json::array();
  for (const double month_m3 : sums.month_m3) {
    json["captured_by_month_m3"].push_back(month_m3);
  }
  json["canopy_bound_m2"] = sums.canopy_bound_m2;
  return json;
}

/// Places by their result.
Json outcomes_json(const std::array<std::int64_t, siting::kOutcomes>& counts) {
  const auto count = [&](siting::Outcome outcome) { return counts[static_cast<std::size_t>(outcome)]; };
  return {{"within_limit", count(siting::Outcome::Within)},
          {"measure_on_site", count(siting::Outcome::MeasureOnSite)},
          {"over_limit", count(siting::Outcome::OverLimit)}};
}

Json screening_json(const RunFacts& facts) {
  if (facts.screening == nullptr) return nullptr;
  const siting::Screening& screening = *facts.screening;
  Json json;
  json["rules"] = screening.rules.file.empty() ? "built in" : screening.rules.file;
  json["whose"] = whose_sentence(facts);
  json["places"] = screening.nodes.size();
  json["basins"] = outcomes_json(screening.basins);
  json["trees"] = outcomes_json(screening.trees);
  json["rules_that_bite"] = Json::array();
  for (const siting::Bite& bite : screening.bites) {
    json["rules_that_bite"].push_back({{"rule", siting::rule_kind(bite.rule).key},
                                       {"alone", bite.alone},
                                       {"with_others", bite.with_others},
                                       {"back_if_loosened_by_a_tenth", bite.back}});
  }
  return json;
}

Json work_json(const RunFacts& facts) {
  const Work work = work_of(facts);
  Json json = {{"basins", work.basins},
               {"dug_m3", work.materials.soil_dug_m3},
               {"soil_out_m3", work.materials.soil_out_m3},
               {"stone_m3", work.materials.stone_m3},
               {"mulch_m3", work.materials.mulch_m3},
               {"plants", work.materials.plants},
               {"cost", nullptr},
               {"currency", facts.settings->money.currency},
               {"cost_words", siting::cost_words(work.cost, facts.settings->money.currency)}};
  if (work.cost.total) json["cost"] = *work.cost.total;
  return json;
}

Json candidates_json(const siting::CandidateResults& candidates) {
  const siting::CandidatePlaces& found = candidates.model.found;
  Json json = {{"stretches", found.stretches}, {"places", found.spots.size()}};
  for (const siting::CandidatePlace place :
       {siting::CandidatePlace::Strip, siting::CandidatePlace::BehindWalk, siting::CandidatePlace::Bulb}) {
    json[std::string(siting::place_word(place))] =
        std::count_if(found.spots.begin(), found.spots.end(),
                      [&](const siting::CandidateSpot& spot) { return spot.place == place; });
  }
  json["without"] = Json::array();
  for (std::size_t i = 0; i < siting::kWhyNone; ++i) {
    json["without"].push_back(
        {{"why", siting::why_word(static_cast<siting::WhyNone>(i))}, {"stretches", found.without[i]}});
  }
  json["storms"] = Json::array();
  for (const siting::CandidateStorm& storm : candidates.storms) {
    json["storms"].push_back({{"id", storm.storm_id}, {"kept_by_cuts_here_m3", storm.cuts_here_m3}});
  }
  return json;
}

Json sheet_json(const RunFacts& facts, const Sheet& sheet) {
  Json rows = Json::array();
  for (const std::int32_t node : sheet.nodes) {
    Json row;
    for (const NodeColumn& column : sheet.columns) {
      row[column.column.name] = json_of(column.value(node));
    }
    Json storms = Json::object();
    for (const study::StormComparison& storm : *facts.storms) {
      Json values;
      for (const StormColumn& column : sheet.storm_columns) {
        values[storm_column_name(column.column.name, "")] = json_of(column.value(storm, node));
      }
      storms[storm.storm.id] = std::move(values);
    }
    row["storms"] = std::move(storms);
    rows.push_back(std::move(row));
  }
  return rows;
}

Json table_json(const base::Table& table) {
  Json rows = Json::array();
  for (const auto& cells : table.rows) {
    Json row;
    for (std::size_t i = 0; i < cells.size(); ++i) {
      row[table.columns[i].name] = json_of(cells[i]);
    }
    rows.push_back(std::move(row));
  }
  return rows;
}

Json choice_json(const RunFacts& facts) {
  if (facts.chosen == nullptr) {
    return nullptr;
  }
  const siting::ChosenCuts& chosen = *facts.chosen;
  Json json;
  json["aim"] = chosen.aim;
  json["storm"] = chosen.storm_id;
  json["worth"] = chosen.choice.value;
  json["no_set_worth_more_than"] = chosen.choice.bound;
  json["proved"] = chosen.choice.proved;
  json["money"] = chosen.cost.total ? Json(*chosen.cost.total) : Json(nullptr);
  json["digging_m3"] = chosen.digging_m3;
  json["kept_m3"] = chosen.kept_m3;
  json["kept_at_half_infiltration_m3"] = chosen.kept_at_half_m3;
  json["kept_at_double_infiltration_m3"] = chosen.kept_at_double_m3;
  json["build_order"] = Json::array();
  for (std::size_t i = 0; i < chosen.choice.build_order.size(); ++i) {
    json["build_order"].push_back({{"id", chosen.cuts[chosen.choice.build_order[i]].id},
                                   {"worth_together", chosen.choice.value_after[i]}});
  }
  return json;
}

/// Before everything else: what was seen on the street contradicts what follows.
Json look_again_json(const RunFacts& facts) {
  const study::ChainModel& model = facts.preparation->model;
  const study::FieldFindings& field = facts.preparation->field;
  const std::vector<std::string> sentences = dry_sentences(model, field, Units::Metric);
  Json list = Json::array();
  for (std::size_t i = 0; i < field.dry.size(); ++i) {
    list.push_back({{"id", model.network.id[static_cast<std::size_t>(field.dry[i].node)]},
                    {"area_arriving_m2", field.dry[i].area_m2},
                    {"by", field.dry[i].by},
                    {"text", sentences[i]}});
  }
  return list;
}

}  // namespace

std::string summary_json(const RunFacts& facts) {
  Json json;
  json["format"] = 1;
  json["program"] = "curbshed";
  json["version"] = facts.version;
  json["title"] = facts.settings->title;
  json["look_again"] = look_again_json(facts);
  json["reference_system"] = {{"name", facts.crs_name}, {"code", facts.crs_code}, {"unit", facts.crs_unit}};
  json["cautions"] = Json::array();
  for (const std::string_view text : cautions()) {
    json["cautions"].push_back(text);
  }
  json["notes"] = Json::array();
  const base::Notes notes = all_notes(facts);
  for (std::size_t i = 0; i < base::kNoteCount; ++i) {
    const auto id = static_cast<base::NoteId>(i);
    if (!notes.has(id)) {
      continue;
    }
    const base::Notes::Entry& entry = notes.at(id);
    const base::NoteText& words = base::note_text(id);
    json["notes"].push_back({{"key", words.key},
                             {"text", words.text},
                             {"count", entry.count},
                             {"worst", entry.worst},
                             {"unit", words.unit},
                             {"first", entry.first_feature}});
  }
  json["storms"] = storms_json(facts);
  json["year"] = year_json(facts);
  json["choice"] = choice_json(facts);
  json["screening"] = screening_json(facts);
  json["work"] = work_json(facts);
  if (facts.candidates != nullptr) json["candidates"] = candidates_json(*facts.candidates);
  for (const Sheet& sheet :
       {cuts_sheet(facts), basins_sheet(facts), existing_basins_sheet(facts), outfalls_sheet(facts),
        inlets_sheet(facts), sags_sheet(facts), lots_sheet(facts)}) {
    json[sheet.name] = sheet_json(facts, sheet);
  }
  json["corners"] = table_json(corners_table(facts));
  json["passed_hollows"] = table_json(passed_table(facts));
  json["set_aside"] = table_json(set_aside_table(facts));
  return json_text(json);
}

}  // namespace curbshed::report
