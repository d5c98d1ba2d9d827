// Attributes of a layer that was read: by the user's field name, with errors that name the feature.
#pragma once

#include "curbshed/base/error.hpp"
#include "curbshed/base/table.hpp"

#include <optional>
#include <string>
#include <string_view>

namespace curbshed::base {

/// File and layer as in `source`, and the feature's id.
Where where_of(const MapLayer& layer, std::size_t row);

/// Number of the column with this name. Throws InputError that lists the fields which exist.
std::size_t field_column(const MapLayer& layer, std::string_view field);

/// The cell as a number; text is read as one plain number (point as decimal sign). Absent when the cell is
/// absent. Throws InputError with feature, field and value when the text is no finite number.
std::optional<double> number_at(const MapLayer& layer, std::size_t row, std::size_t column);

/// The cell as text; "" when absent. Whole numbers as digits, others in the shortest form that reads back the
/// same.
std::string text_at(const MapLayer& layer, std::size_t row, std::size_t column);

/// One finite number and nothing else (blanks around it are fine, U+2212 is a minus); nothing when it is
/// something else.
std::optional<double> parse_number(std::string_view text);

}  // namespace curbshed::base
