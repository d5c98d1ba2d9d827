// Checks a summary.json against docs/summary.schema.json.
#pragma once

#include "support/temp_folder.hpp"

#include <string>

#include <nlohmann/json.hpp>

// The library's headers are not clean under our warnings.
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wconversion"
#pragma GCC diagnostic ignored "-Wsign-conversion"
#pragma GCC diagnostic ignored "-Wshadow"
#pragma GCC diagnostic ignored "-Wdouble-promotion"
#pragma GCC diagnostic ignored "-Wunused-parameter"
#include <valijson/adapters/nlohmann_json_adapter.hpp>
#include <valijson/schema.hpp>
#include <valijson/schema_parser.hpp>
#include <valijson/validation_results.hpp>
#include <valijson/validator.hpp>
#pragma GCC diagnostic pop

namespace curbshed::testing {

/// "" when the text follows the schema, else what is wrong where.
inline std::string schema_faults(const std::string& text) {
  using Adapter = valijson::adapters::NlohmannJsonAdapter;
  const nlohmann::json rules =
      nlohmann::json::parse(read_text(std::string(CURBSHED_SOURCE_DIR) + "/docs/summary.schema.json"));
  valijson::Schema schema;
  valijson::SchemaParser parser;
  const Adapter rules_adapter(rules);
  parser.populateSchema(rules_adapter, schema);
  const nlohmann::json json = nlohmann::json::parse(text);
  const Adapter adapter(json);
  valijson::Validator validator;
  valijson::ValidationResults results;
  std::string faults;
  if (!validator.validate(schema, adapter, &results)) {
    valijson::ValidationResults::Error error;
    while (results.popError(error)) {
      for (const std::string& part : error.context) {
        faults += part;
      }
      faults += ": " + error.description + "\n";
    }
  }
  return faults;
}

}  // namespace curbshed::testing
