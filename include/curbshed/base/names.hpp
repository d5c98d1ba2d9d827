// Names that people write: compared, looked up, made short for ids.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace curbshed::base {

/// Fewest letters (bytes) to change, add or drop (Levenshtein).
std::size_t letters_apart(std::string_view a, std::string_view b);

/// At most `count` of the known words, the nearest first; ties keep the order of `known`.
std::vector<std::string> nearest_words(std::string_view word, const std::vector<std::string>& known,
                                       std::size_t count);

/// ASCII letters small, blanks at both ends off and inner ones single: "  Kiln  STREET" → "kiln street". Two
/// names are the same name when this is equal.
std::string plain_name(std::string_view text);

/// Order of names as people sort them: runs of digits by their value, "K2" before "K10"; what is then alike
/// by its bytes. A strict total order.
bool natural_less(std::string_view a, std::string_view b);

/// For ids: as plain_name, with "-" for everything that is no letter, digit or byte above 127.
std::string slug(std::string_view text);

}  // namespace curbshed::base
