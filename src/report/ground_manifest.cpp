#include "curbshed/report/ground_manifest.hpp"

#include "report/json_text.hpp"

namespace curbshed::report {

std::string ground_manifest_json(const GroundWaterFacts& facts, const std::vector<OutputFile>& outputs) {
  Json json;
  json["format"] = 1;
  json["program"] = "curbshed";
  json["version"] = facts.version;
  json["libraries"] = Json::object();
  for (const auto& library : facts.libraries) {
    json["libraries"][library.first] = library.second;
  }
  Json input = {{"role", facts.file.role}, {"file", facts.file.file}};
  if (!facts.file.sha256.empty()) {
    input["sha256"] = facts.file.sha256;
    input["bytes"] = facts.file.bytes;
  }
  json["inputs"] = Json::array({input});
  json["ground"] = {{"rows", facts.rows},
                    {"columns", facts.cols},
                    {"cell_m", facts.cell_m},
                    {"reference_system", facts.crs_name},
                    {"code", facts.crs_code},
                    {"unit", facts.crs_unit},
                    {"height_unit", facts.height_unit},
                    {"height_unit_evidence", facts.height_evidence},
                    {"cells_without_height", facts.cells_without_height},
                    {"lowest_m", facts.lowest_m},
                    {"highest_m", facts.highest_m}};
  json["standing_water"] = {
      {"cells", facts.wet_cells}, {"volume_m3", facts.standing_m3}, {"deepest_m", facts.deepest_m}};
  json["outputs"] = Json::object();
  for (const OutputFile& file : outputs) {
    json["outputs"][file.name] = file.sha256;
  }
  return json_text(json);
}

}  // namespace curbshed::report
