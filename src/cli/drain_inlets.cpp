#include "curbshed/cli/drain_inlets.hpp"

#include "curbshed/base/names.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace curbshed::cli {
namespace {

using base::InputError;
using water::InletKind;
using water::Rating;
using water::RatingPair;

/// A pair and where it stands.
struct Row {
  RatingPair pair;
  bool by_depth = true;
  base::Where where;
};

Row row_of(const StudyLayer& layer, std::size_t row) {
  const std::optional<double> depth = layer.measure(row, "depth");
  const std::optional<double> flow = layer.measure(row, "flow");
  const std::optional<double> captured = layer.measure(row, "captured");
  if (depth.has_value() == flow.has_value()) {
    throw InputError(layer.where(row),
                     depth ? "depth and flow are both there" : "neither depth nor flow is there",
                     "one of the two", "fill in one of the two, the same in all rows of a table");
  }
  if (!captured) {
    throw InputError(layer.where(row), "captured is missing", "0 L/s to 10 m3/s",
                     "fill in what the inlet takes");
  }
  if (flow && *captured > *flow) {
    throw InputError(
        layer.where(row),
        fmt::format("{:g} L/s are captured of {:g} L/s that come", *captured * 1000.0, *flow * 1000.0),
        "no more than comes", "are the columns exchanged, or the units?");
  }
  return {{depth ? *depth : *flow, *captured}, depth.has_value(), layer.where(row)};
}

Rating table_of(std::vector<Row> rows, const std::string& name) {
  std::stable_sort(rows.begin(), rows.end(),
                   [](const Row& a, const Row& b) { return a.pair.at < b.pair.at; });
  Rating rating;
  rating.by_depth = rows.front().by_depth;
  for (const Row& row : rows) {
    const char* const unit = rating.by_depth ? "depth" : "flow";
    if (row.by_depth != rating.by_depth) {
      throw InputError(row.where, fmt::format("the table {} has rows by depth and rows by flow", name),
                       "one of the two in a table", "make it two tables");
    }
    if (!rating.pairs.empty() && row.pair.at <= rating.pairs.back().at) {
      throw InputError(row.where, fmt::format("the same {} stands in the table {} twice", unit, name),
                       fmt::format("each {} once", unit), "keep one of the two rows");
    }
    if (!rating.pairs.empty() && row.pair.captured_m3_s < rating.pairs.back().captured_m3_s) {
      throw InputError(
          row.where,
          fmt::format("in the table {} the captured flow falls from {:g} to {:g} L/s as the {} grows", name,
                      rating.pairs.back().captured_m3_s * 1000.0, row.pair.captured_m3_s * 1000.0, unit),
          "captured flow that does not fall", "check the row and the one before it");
    }
    rating.pairs.push_back(row.pair);
  }
  return rating;
}

InletKind kind_of(const std::string& word) {
  if (word.empty() || word == "curb_opening") {
    return InletKind::CurbOpening;
  }
  if (word == "grate") {
    return InletKind::Grate;
  }
  if (word == "slotted") {
    return InletKind::Slotted;
  }
  throw InputError({}, fmt::format("the kind \"{}\" is not one of ours and not in `classes`", word), "", "");
}

}  // namespace

RatingTables rating_tables(const StudyLayer& layer) {
  std::map<std::string, std::vector<Row>> rows;
  for (std::size_t row = 0; row < layer.rows(); ++row) {
    const std::string name = layer.text(row, "rating");
    if (name.empty()) {
      throw InputError(layer.where(row), "the row does not say of which table it is",
                       "a name in the column rating", "fill it in");
    }
    rows[name].push_back(row_of(layer, row));
  }
  RatingTables all;
  for (auto& entry : rows) {
    all.names.push_back(entry.first);
    all.tables.push_back(table_of(std::move(entry.second), entry.first));
  }
  return all;
}

PipeOutlets pipe_outlets(StudyLayer& layer, SitePlaces& places) {
  PipeOutlets outlets;
  for (std::size_t row = 0; row < layer.rows(); ++row) {
    try {
      if (!layer.named(row)) {
        throw InputError({}, "the outlet has no name", "", "");
      }
      if (!outlets.emplace(layer.id(row), places.of(layer, row)).second) {
        throw InputError({}, fmt::format("the name \"{}\" is there twice", layer.id(row)), "", "");
      }
    } catch (const InputError& error) {
      layer.set_aside(row, error.met());
    }
  }
  return outlets;
}

study::InletInput inlet_input(const StudyLayer& layer, std::size_t row, const RatingTables& ratings,
                              const std::optional<PipeOutlets>& outlets) {
  study::InletInput inlet;
  inlet.kind = kind_of(layer.text(row, "kind"));
  inlet.width_m = layer.measure(row, "width");
  inlet.open_share = layer.measure(row, "open_share");
  inlet.splash_over_m_s = layer.measure(row, "splash_over");
  inlet.rating_name = layer.text(row, "rating");
  if (!inlet.rating_name.empty()) {
    const auto found = std::lower_bound(ratings.names.begin(), ratings.names.end(), inlet.rating_name);
    if (found == ratings.names.end() || *found != inlet.rating_name) {
      throw InputError(
          {}, fmt::format("there is no table \"{}\" in [street.inlet_ratings]", inlet.rating_name), "", "");
    }
    inlet.rating = static_cast<std::int32_t>(found - ratings.names.begin());
  }
  inlet.outlet = outlets ? layer.text(row, "outlet") : std::string();
  if (!inlet.outlet.empty()) {
    const auto found = outlets->find(inlet.outlet);
    if (found == outlets->end()) {
      throw InputError({}, fmt::format("there is no place \"{}\" in [street.pipe_outlets]", inlet.outlet), "",
                       "");
    }
    inlet.outlet_at = found->second;
  }
  return inlet;
}

}  // namespace curbshed::cli
