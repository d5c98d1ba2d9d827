#include "curbshed/street/place_words.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/base/measure_text.hpp"
#include "curbshed/base/names.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace curbshed::street {

namespace {

using base::InputError;
using base::plain_name;

constexpr double kEndSlack_m = 0.1;
constexpr std::size_t kNamesShown = 3;
const char* const kForm = "Kiln Street, north side, 17.3 m from Lantern Street toward Adobe Lane";

std::string joined(const std::vector<std::string>& words) {
  return fmt::format("{}", fmt::join(words, ", "));
}

void add_once(std::vector<std::string>& list, const std::string& word) {
  if (std::find(list.begin(), list.end(), word) == list.end()) list.push_back(word);
}

std::string side_name(std::string_view text) {
  std::string side = plain_name(text);
  constexpr std::string_view kSide = " side";
  if (side.size() > kSide.size() && side.compare(side.size() - kSide.size(), kSide.size(), kSide) == 0)
    side.resize(side.size() - kSide.size());
  return side;
}

std::string side_words(const std::string& side) {
  return side.empty() ? std::string() : fmt::format(", {} side", side_name(side));
}

std::string block_words(const BlockFace& face, int end) {
  const FaceEnd& from = face.ends[static_cast<std::size_t>(end)];
  const FaceEnd& to = face.ends[static_cast<std::size_t>(1 - end)];
  return fmt::format("{}{} from {} {} toward {}", face.street, side_words(face.side), from.name, from.heading,
                     to.name);
}

/// A face with the end that the tape starts at.
struct Candidate {
  std::int32_t face = -1;
  int end = 0;
};

[[noreturn]] void unknown_street(const BlockFaces& all, const std::string& street) {
  std::vector<std::string> streets;
  for (const BlockFace& face : all.faces()) add_once(streets, face.street);
  if (streets.empty()) {
    throw InputError({}, fmt::format("the street \"{}\" is not known: no curb has a street name", street),
                     "curbs with the fields `street` and `side`",
                     "name the streets in the curb layer, or give x and y or longitude and latitude");
  }
  throw InputError(
      {}, fmt::format("no curb has the street \"{}\"", street),
      fmt::format("the nearest names: {}", joined(base::nearest_words(street, streets, kNamesShown))),
      "write the street as the curb layer does");
}

/// The faces of a street and side, or the error that says which there are.
std::vector<std::int32_t> faces_of(const BlockFaces& all, const TapePlace& asked) {
  std::vector<std::string> sides;
  std::vector<std::int32_t> found;
  for (const std::int32_t f : all.of_street(asked.street)) {
    const BlockFace& face = all.faces()[static_cast<std::size_t>(f)];
    add_once(sides, face.side);
    if (side_name(asked.side).empty() || side_name(face.side) == side_name(asked.side)) found.push_back(f);
  }
  if (sides.empty()) unknown_street(all, asked.street);
  const bool many = side_name(asked.side).empty() && sides.size() > 1;
  if (found.empty() || many) {
    throw InputError({},
                     many ? fmt::format("{} has several sides and none is given", asked.street)
                          : fmt::format("{} has no {} side", asked.street, side_name(asked.side)),
                     fmt::format("the sides {}", joined(sides)), "write one of these sides");
  }
  return found;
}

Candidate block_of(const BlockFaces& all, const TapePlace& asked) {
  std::vector<Candidate> found;
  std::vector<std::string> corners;
  std::vector<std::string> towards;
  for (const std::int32_t f : faces_of(all, asked)) {
    const BlockFace& face = all.faces()[static_cast<std::size_t>(f)];
    for (int e = 0; e < 2; ++e) {
      const FaceEnd& from = face.ends[static_cast<std::size_t>(e)];
      const FaceEnd& to = face.ends[static_cast<std::size_t>(1 - e)];
      add_once(corners, from.name);
      if (plain_name(from.name) != plain_name(asked.corner)) continue;
      add_once(towards, to.name);
      if (asked.toward.empty() || plain_name(asked.toward) == plain_name(to.name)) found.push_back({f, e});
    }
  }
  const std::string where = fmt::format("{}{}", asked.street, side_words(asked.side));
  if (towards.empty()) {
    throw InputError(
        {}, fmt::format("{} has no corner with \"{}\"", where, asked.corner),
        fmt::format("the corners {}", joined(base::nearest_words(asked.corner, corners, corners.size()))),
        "write one of these as the corner");
  }
  if (found.empty()) {
    throw InputError(
        {}, fmt::format("from {} no block of {} runs toward \"{}\"", asked.corner, where, asked.toward),
        fmt::format("toward {}", joined(towards)), "write one of these as `toward`");
  }
  if (found.size() > 1) {
    const std::string blocks =
        fmt::format("{}; {}", block_words(all.faces()[static_cast<std::size_t>(found[0].face)], found[0].end),
                    block_words(all.faces()[static_cast<std::size_t>(found[1].face)], found[1].end));
    throw InputError({}, fmt::format("{} blocks fit ({})", found.size(), blocks),
                     towards.size() > 1 ? fmt::format("toward {}", joined(towards))
                                        : std::string("a place that only one block fits"),
                     towards.size() > 1
                         ? "say which way the tape runs: write one of these as `toward`"
                         : "measure from the other corner, or give x and y or longitude and latitude");
  }
  return found.front();
}

std::string trimmed(std::string_view text) {
  const std::size_t first = text.find_first_not_of(" \t\r\n");
  if (first == std::string_view::npos) return {};
  return std::string(text.substr(first, text.find_last_not_of(" \t\r\n") - first + 1));
}

/// In which text the marks of a sentence are looked for, whatever its capitals (same length).
std::string small_letters(std::string_view text) {
  std::string out(text);
  for (char& c : out) c = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  return out;
}

}  // namespace

std::string tape_text(double distance_m, TapeUnit unit, int finer) {
  if (unit == TapeUnit::Metre) {
    const std::string text = fmt::format("{:.{}f}", distance_m, finer + 1);
    const bool nothing = text.find_first_not_of("-0.") == std::string::npos;
    return (nothing ? text.substr(text.find('0')) : text) + " m";
  }
  if (finer > 0) return fmt::format("{:.{}f} ft", distance_m / base::kMetresPerFoot, finer + 1);
  const auto inches = static_cast<std::int64_t>(std::llround(distance_m / base::kMetresPerInch));
  const std::int64_t size = inches < 0 ? -inches : inches;
  return fmt::format("{}{} ft {} in", inches < 0 ? "-" : "", size / 12, size % 12);
}

std::string place_text(const BlockFaces& faces, const FacePlace& place, TapeUnit unit, int finer) {
  const BlockFace& face = faces.faces()[static_cast<std::size_t>(place.face)];
  const FaceEnd& from = face.ends[static_cast<std::size_t>(place.end)];
  const FaceEnd& to = face.ends[static_cast<std::size_t>(1 - place.end)];
  return fmt::format("{}{}, {} from {} toward {}", face.street, side_words(face.side),
                     tape_text(place.distance_m, unit, finer), from.name, to.name);
}

TapePlace parse_place(std::string_view text) {
  std::string whole = trimmed(text);
  const std::size_t note = whole.rfind(" (");
  if (note != std::string::npos && whole.back() == ')') whole = trimmed(whole.substr(0, note));
  const auto fail = [&](const char* what) {
    throw InputError({}, fmt::format("\"{}\" is no place: {}", trimmed(text), what), kForm,
                     "write it in this order, or use the fields street, side, corner and distance");
  };
  const std::string small = small_letters(whole);
  const std::size_t from = small.find(" from ");
  if (from == std::string::npos) fail("it does not say from which corner");
  const std::size_t comma = small.rfind(',', from);
  if (comma == std::string::npos) fail("there is no comma before the distance");
  TapePlace place;
  place.distance_m = base::parse_measure(whole.substr(comma + 1, from - comma - 1), base::Dimension::Length);
  const std::string_view rest = std::string_view(whole).substr(from + 6);
  const std::size_t toward = small.rfind(" toward ");
  if (toward != std::string::npos && toward >= from + 6) {
    place.corner = trimmed(rest.substr(0, toward - from - 6));
    place.toward = trimmed(rest.substr(toward - from - 6 + 8));
  } else {
    place.corner = trimmed(rest);
  }
  const std::string before = whole.substr(0, comma);
  const std::size_t side = before.rfind(',');
  const bool with_side =
      side != std::string::npos && side_name(before.substr(side + 1)) != plain_name(before.substr(side + 1));
  place.street = trimmed(with_side ? before.substr(0, side) : before);
  place.side = with_side ? side_name(before.substr(side + 1)) : std::string();
  if (place.street.empty() || place.corner.empty()) fail("street or corner is missing");
  return place;
}

FoundPlace find_place(const BlockFaces& faces, const TapePlace& asked) {
  const Candidate block = block_of(faces, asked);
  const BlockFace& face = faces.faces()[static_cast<std::size_t>(block.face)];
  const FaceEnd& end = face.ends[static_cast<std::size_t>(block.end)];
  const double from_end_m = asked.distance_m - end.reading_m;
  if (from_end_m < -kEndSlack_m || from_end_m > face.length_m + kEndSlack_m) {
    throw InputError(
        {},
        fmt::format("{} from {} is {} the block ({})", tape_text(asked.distance_m, TapeUnit::Metre), end.name,
                    from_end_m < 0.0 ? "before the curb of" : "beyond", block_words(face, block.end)),
        fmt::format("{} ({}) to {} ({}) along this curb", tape_text(end.reading_m, TapeUnit::Metre),
                    tape_text(end.reading_m, TapeUnit::Foot),
                    tape_text(end.reading_m + face.length_m, TapeUnit::Metre),
                    tape_text(end.reading_m + face.length_m, TapeUnit::Foot)),
        "check the corner, the way the tape ran, and the unit");
  }
  FoundPlace found;
  found.face = block.face;
  const double along = std::clamp(from_end_m, 0.0, face.length_m);
  found.along_m = block.end == 0 ? along : face.length_m - along;
  found.at = faces.point(found.face, found.along_m);
  return found;
}

std::string place_id(const BlockFaces& faces, const FacePlace& place) {
  if (place.face < 0) return {};
  const BlockFace& face = faces.faces()[static_cast<std::size_t>(place.face)];
  const FaceEnd& from = face.ends[static_cast<std::size_t>(place.end)];
  const std::string side = side_name(face.side).empty() ? "" : base::slug(side_name(face.side)) + "-";
  const auto metres = std::llround(place.distance_m);
  return fmt::format("{}-{}{}-{}-{}", base::slug(face.street), side, base::slug(from.name), from.heading,
                     metres);
}

}  // namespace curbshed::street
