// A layer of the study, read through geodata, with its attributes under our names.
#pragma once

#include "curbshed/geodata/layer.hpp"
#include "curbshed/report/facts.hpp"
#include "curbshed/study/study_keys.hpp"

#include <optional>
#include <string>
#include <vector>

namespace curbshed::cli {

/// Path of a file named in a study: relative ones start at the study's folder.
std::string path_in_study(const study::Settings& settings, const std::string& file);

/// What happened to the features of one layer.
class StudyLayer {
 public:
  /// Reads it. by_hand: a feature that cannot be used is an InputError that names it; otherwise it is set
  /// aside. Points in a CSV file come without shapes: SitePlaces says where they are. Features are sorted by
  /// name, those without one by where they are, so that their order in the file does not matter; without a
  /// name they are called after the place of their middle. Features that do not meet `clip` are
  /// left out and counted nowhere.
  StudyLayer(const study::Settings& settings, std::string_view part, const geodata::Projection& projection,
             const base::Box& ground, bool by_hand, const std::optional<base::Box>& clip = std::nullopt);

  const base::MapLayer& layer() const { return data_.layer; }
  std::size_t rows() const { return data_.layer.table.rows.size(); }
  const base::Shape& shape(std::size_t row) const { return data_.layer.shapes[row]; }
  const std::string& id(std::size_t row) const { return ids_[row]; }
  /// True when the feature brings a name of its own.
  bool named(std::size_t row) const { return named_[row] != 0; }
  const base::Notes& notes() const { return data_.notes; }
  const base::Where& where(std::size_t row) const { return where_[row]; }

  /// The features that the study itself holds ([[street.cut]]); as one layer, by hand.
  static StudyLayer rows_of(const study::Settings& settings, std::string_view part,
                            const geodata::Projection& projection);

  /// "" when absent. Classed fields come back translated by `classes`.
  std::string text(std::size_t row, std::string_view field) const;
  /// SI; absent when the cell is. Throws InputError that names the feature: no number, a unit that does not
  /// fit, out of range.
  std::optional<double> measure(std::size_t row, std::string_view field) const;

  void set_aside(std::size_t row, const std::string& reason);
  void set_aside(const std::string& id, const std::string& reason);
  const std::vector<geodata::SetAside>& set_aside() const { return data_.set_aside; }
  /// Features outside the part of the elevation model that is read.
  std::int64_t outside() const { return data_.outside; }
  /// Features that passed the filter, set aside or not.
  std::int64_t features() const { return features_; }
  /// InputError when more than `share` of the features are set aside (or any, when strict); the most frequent
  /// reason first.
  void check_share(double share, bool strict) const;

  const report::InputFile& file() const { return file_; }
  std::string_view part() const { return key_->part; }
  const std::string& crs() const { return source_.crs; }
  const std::string& crs_name() const { return data_.crs_name; }

 private:
  struct FromStudy {};
  StudyLayer(const study::Settings& settings, std::string_view part, const geodata::Projection& projection,
             FromStudy);
  void check_fields(const study::Settings& settings);
  void name_and_sort();
  std::string row_name(std::size_t row) const;
  const study::FieldKey& field_key(std::string_view field) const;
  std::optional<std::size_t> column_of(std::string_view field) const;

  const study::LayerKey* key_ = nullptr;
  study::LayerSource source_;
  geodata::LayerData data_;
  std::vector<std::string> ids_;
  std::vector<std::uint8_t> named_;
  std::vector<base::Where> where_;
  std::optional<std::size_t> id_column_;
  std::int64_t features_ = 0;
  report::InputFile file_;
};

/// "; 12 × no such kind (first: curb-7)" for the three most frequent reasons, the most frequent first.
std::string worst_first(const std::vector<geodata::SetAside>& list);

/// Checksum and size of a file that a run reads; only the name of one that lies outside the study's folder.
report::InputFile input_file(const study::Settings& settings, std::string role, const std::string& file,
                             const std::string& layer);

}  // namespace curbshed::cli
