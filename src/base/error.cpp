#include "curbshed/base/error.hpp"

#include <utility>

#include <fmt/format.h>

namespace curbshed::base {
namespace {

void append_sentence(std::string& text, std::string_view lead, const std::string& sentence) {
  if (sentence.empty()) {
    return;
  }
  if (!text.empty()) {
    text += ' ';
  }
  text += lead;
  text += sentence;
  const char last = sentence.back();
  if (last != '.' && last != '\n' && last != '!' && last != '?') {
    text += '.';
  }
}

std::string place_text(const Where& where) {
  std::string place;
  for (const std::string* part : {&where.file, &where.layer, &where.feature}) {
    if (part->empty()) {
      continue;
    }
    if (!place.empty()) {
      place += ", ";
    }
    place += *part;
  }
  return place;
}

std::string message(const Where& where, const std::string& met, const std::string& allowed,
                    const std::string& next) {
  std::string text = place_text(where);
  if (!text.empty()) {
    text += ':';
  }
  append_sentence(text, "", met);
  append_sentence(text, "Allowed: ", allowed);
  append_sentence(text, "Do: ", next);
  return text;
}

}  // namespace

InputError::InputError(Where where, std::string what, std::string allowed, std::string next)
    : std::runtime_error(message(where, what, allowed, next)),
      where_(std::move(where)),
      met_(std::move(what)),
      allowed_(std::move(allowed)),
      next_(std::move(next)) {}

InputError InputError::located(const Where& outer) const {
  Where full = where_;
  if (full.file.empty()) {
    full.file = outer.file;
  }
  if (full.layer.empty()) {
    full.layer = outer.layer;
  }
  if (full.feature.empty()) {
    full.feature = outer.feature;
  }
  return {full, met_, allowed_, next_};
}

void ensure(bool holds, const char* promise) {
  if (!holds) {
    throw BugError(fmt::format("a promise of curbshed does not hold: {}", promise));
  }
}

}  // namespace curbshed::base
