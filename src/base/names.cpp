#include "curbshed/base/names.hpp"

#include <algorithm>
#include <cctype>
#include <numeric>

namespace curbshed::base {

namespace {

bool is_blank(char c) { return c == ' ' || c == '\t' || c == '\r' || c == '\n'; }

/// Letters small, whatever `parts` says is between words as one `between`.
template <class Parts>
std::string joined_words(std::string_view text, char between, Parts parts) {
  std::string out;
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (!parts(c)) {
      out += byte < 0x80 ? static_cast<char>(std::tolower(byte)) : c;
    } else if (!out.empty() && out.back() != between) {
      out += between;
    }
  }
  if (!out.empty() && out.back() == between) {
    out.pop_back();
  }
  return out;
}

}  // namespace

std::size_t letters_apart(std::string_view a, std::string_view b) {
  std::vector<std::size_t> row(b.size() + 1);
  std::iota(row.begin(), row.end(), std::size_t{0});
  for (std::size_t i = 0; i < a.size(); ++i) {
    std::size_t diagonal = row[0];
    row[0] = i + 1;
    for (std::size_t j = 0; j < b.size(); ++j) {
      const std::size_t change = diagonal + (a[i] == b[j] ? 0U : 1U);
      diagonal = row[j + 1];
      row[j + 1] = std::min({change, row[j] + 1, row[j + 1] + 1});
    }
  }
  return row.back();
}

std::vector<std::string> nearest_words(std::string_view word, const std::vector<std::string>& known,
                                       std::size_t count) {
  std::vector<std::string> near = known;
  std::stable_sort(near.begin(), near.end(), [&](const std::string& a, const std::string& b) {
    return letters_apart(word, a) < letters_apart(word, b);
  });
  near.resize(std::min(count, near.size()));
  return near;
}

std::string plain_name(std::string_view text) { return joined_words(text, ' ', is_blank); }

bool natural_less(std::string_view a, std::string_view b) {
  const auto digit = [](char c) { return c >= '0' && c <= '9'; };
  std::size_t i = 0;
  std::size_t k = 0;
  while (i < a.size() && k < b.size()) {
    if (!digit(a[i]) || !digit(b[k])) {
      if (a[i] != b[k]) {
        return static_cast<unsigned char>(a[i]) < static_cast<unsigned char>(b[k]);
      }
      ++i;
      ++k;
      continue;
    }
    const auto run = [&](std::string_view text, std::size_t& at) {
      while (at < text.size() && text[at] == '0') {
        ++at;
      }
      const std::size_t first = at;
      while (at < text.size() && digit(text[at])) {
        ++at;
      }
      return text.substr(first, at - first);
    };
    const std::string_view one = run(a, i);
    const std::string_view other = run(b, k);
    if (one.size() != other.size()) {
      return one.size() < other.size();
    }
    if (one != other) {
      return one < other;
    }
  }
  const std::size_t left_a = a.size() - i;
  const std::size_t left_b = b.size() - k;
  return left_a != left_b ? left_a < left_b : a < b;
}

std::string slug(std::string_view text) {
  return joined_words(text, '-', [](char c) {
    const auto byte = static_cast<unsigned char>(c);
    return byte < 0x80 && std::isalnum(byte) == 0;
  });
}

}  // namespace curbshed::base
