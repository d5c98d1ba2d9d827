#include "curbshed/cli/start_study.hpp"

#include "curbshed/report/display.hpp"
#include "curbshed/study/study_keys.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace curbshed::cli {
namespace {

constexpr std::size_t kWidth = 100;

void comment(std::string& page, const std::string& text) {
  for (const std::string& line : report::wrapped(text, kWidth - 2)) {
    page += fmt::format("# {}\n", line);
  }
}

std::string full(std::string_view part, std::string_view name) {
  return part.empty() ? std::string(name) : fmt::format("{}.{}", part, name);
}

/// A TOML key: bare where it can be.
std::string toml_key(const std::string& word) {
  const bool bare = !word.empty() && std::all_of(word.begin(), word.end(), [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' || c == '-';
  });
  return bare ? word : toml_text(word);
}

std::string default_text(const study::StudyKey& key) {
  if (key.fallback.empty()) {
    return key.form == study::KeyForm::Numbers || key.form == study::KeyForm::Months ||
                   key.form == study::KeyForm::Words
               ? "[ ]"
               : "\"\"";
  }
  const bool bare = key.form == study::KeyForm::Switch ||
                    (key.form == study::KeyForm::Measure && key.dimension == base::Dimension::Plain &&
                     key.fallback.find('%') == std::string_view::npos);
  return bare ? std::string(key.fallback) : fmt::format("\"{}\"", key.fallback);
}

void add_keys(std::string& page, const StartStudy& study, std::string_view part) {
  std::string others;
  for (const study::StudyKey& key : study::study_keys()) {
    if (key.part != part) {
      continue;
    }
    const std::string name = full(part, key.name);
    const auto value = study.values.find(name);
    if (value == study.values.end()) {
      others += fmt::format("# {} = {}    # {}\n", key.name, default_text(key), key.doc);
      continue;
    }
    const auto words = study.comments.find(name);
    if (words != study.comments.end()) {
      comment(page, words->second);
    }
    page += fmt::format("{} = {}\n", key.name, value->second);
  }
  if (!others.empty()) {
    page += fmt::format("# Defaults; take the # away to change one:\n{}", others);
  }
}

void add_layer(std::string& page, const StartLayer& layer) {
  page += fmt::format("\n[{}]\n", layer.part);
  for (const std::string& line : layer.found) {
    comment(page, fmt::format("Found: {}.", line));
  }
  for (const std::string& line : layer.questions) {
    comment(page, fmt::format("QUESTION: {}", line));
  }
  const study::LayerSource& source = layer.source;
  page += fmt::format("file = {}\n", toml_text(source.file));
  for (const auto& entry :
       {std::pair{"layer", source.layer}, std::pair{"where", source.where}, std::pair{"crs", source.crs}}) {
    if (!entry.second.empty()) {
      page += fmt::format("{} = {}\n", entry.first, toml_text(entry.second));
    }
  }
  std::string fields;
  for (const auto& field : source.fields) {
    const std::string theirs = field.second.unit.empty()
                                   ? toml_text(field.second.name)
                                   : fmt::format("{{ field = {}, unit = {} }}", toml_text(field.second.name),
                                                 toml_text(field.second.unit));
    fields += fmt::format("{}{} = {}", fields.empty() ? "" : ", ", field.first, theirs);
  }
  if (!fields.empty()) {
    page += fmt::format("fields = {{ {} }}\n", fields);
  }
  std::string classes;
  for (const auto& one : source.classes) {
    classes +=
        fmt::format("{}{} = {}", classes.empty() ? "" : ", ", toml_key(one.first), toml_text(one.second));
  }
  if (!classes.empty()) {
    page += fmt::format("classes = {{ {} }}\n", classes);
  }
}

void add_layers(std::string& page, const StartStudy& study, std::string_view part) {
  std::string others;
  for (const study::LayerKey& key : study::study_layers()) {
    if (key.part.substr(0, key.part.find('.')) != part) {
      continue;
    }
    const auto given = std::find_if(study.layers.begin(), study.layers.end(),
                                    [&](const StartLayer& layer) { return layer.part == key.part; });
    if (given != study.layers.end()) {
      add_layer(page, *given);
    } else {
      others += fmt::format("# [{}]    # {} ({})\n# file = \"…\"\n", key.part, key.doc, key.shape);
    }
  }
  if (!others.empty()) {
    page += fmt::format("\n# Not given; better answers with:\n{}", others);
  }
}

}  // namespace

std::string toml_text(const std::string& text) {
  std::string out = "\"";
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (c == '"' || c == '\\') {
      out += fmt::format("\\{}", c);
    } else if (byte < 0x20 || byte == 0x7f) {
      out += fmt::format("\\u{:04X}", byte);
    } else {
      out += c;
    }
  }
  return out + "\"";
}

std::string study_text(const StartStudy& study) {
  std::string page = "format = 1\n";
  page += fmt::format("title = {}\n", toml_text(study.title));
  comment(page,
          "Written by `curbshed start`. Lines that begin with # are notes and defaults. What only you can "
          "answer is marked REPLACE or QUESTION. Every key: docs/study-file.md.");
  for (const study::StudyPart& part : study::study_parts()) {
    page += fmt::format("\n[{}]\n", part.name);
    comment(page, std::string(part.doc));
    if (part.name == "ground") {
      for (const std::string& line : study.found) {
        comment(page, fmt::format("Found: {}.", line));
      }
    }
    add_keys(page, study, part.name);
    add_layers(page, study, part.name);
  }
  return page;
}

}  // namespace curbshed::cli
