#include "street/curb_pieces.hpp"

#include "curbshed/terrain/shown_curbs.hpp"

#include "street/line_index.hpp"
#include "street/plane.hpp"

#include <map>
#include <tuple>

#include <fmt/format.h>

namespace curbshed::street::detail {

namespace {

using base::Point;
using base::Polyline;

constexpr double kLongestEdge_m = 2.0;  ///< edges are looked at in parts no longer than this
constexpr double kShortestPiece_m = 0.5;
constexpr double kBin_m = 25.0;

std::size_t at(std::int32_t i) { return static_cast<std::size_t>(i); }

/// Whose curb an edge is.
struct Owner {
  std::int32_t block = -1;
  bool left = false;
  bool beyond = false;  ///< past the block's end: dead end
  bool drop = false;    ///< past the end of a street that leaves the data, or outside the raster
  friend bool operator==(const Owner&, const Owner&) = default;
};

class Owners {
 public:
  Owners(const BlockNet& net, const terrain::GridFrame& frame, double reach_m)
      : net_(net), frame_(frame), reach_m_(reach_m), index_(middles(net), kBin_m) {
    for (const BlockDraft& draft : net.blocks) widest_m_ = std::max(widest_m_, draft.block.width_m);
  }

  Owner of(Point p) const {
    Owner owner;
    if (frame_.cell_at(p) < 0) {
      owner.drop = true;
      return owner;
    }
    double nearest = reach_m_;
    base::LinePlace place;
    for (const std::int32_t b : index_.lines_near(p, 0.5 * widest_m_ + reach_m_)) {
      const StreetBlock& block = net_.blocks[at(b)].block;
      const base::LinePlace here = base::nearest_place(block.middle, p);
      const double excess = std::abs(here.offset_m - 0.5 * block.width_m);
      // Equal within rounding: the lower block, whatever the rounding.
      if (excess < nearest - 1e-6) {
        nearest = excess;
        place = here;
        owner.block = b;
      }
    }
    if (owner.block < 0) return owner;
    owner.left = place.left;
    const BlockDraft& draft = net_.blocks[at(owner.block)];
    const double length = base::length_m(draft.block.middle);
    for (std::size_t end = 0; end < 2; ++end) {
      if (end == 0 ? place.along_m > 1e-6 : place.along_m < length - 1e-6) continue;
      const Junction& node = net_.nodes[at(draft.node[end])];
      owner.beyond = owner.beyond || node.dead_end();
      owner.drop = owner.drop || node.leaves_data;
    }
    return owner;
  }

 private:
  static std::vector<const Polyline*> middles(const BlockNet& net) {
    std::vector<const Polyline*> out;
    for (const BlockDraft& draft : net.blocks) out.push_back(&draft.block.middle);
    return out;
  }

  const BlockNet& net_;
  const terrain::GridFrame& frame_;
  double reach_m_;
  double widest_m_ = 0.0;
  LineIndex index_;
};

struct Piece {
  Owner owner;
  Polyline line;
};

/// Points that lie on the straight way between their neighbours fall away.
Polyline simple(const Polyline& line) {
  Polyline out;
  for (std::size_t i = 0; i < line.size(); ++i) {
    if (!out.empty() && i + 1 < line.size()) {
      const Point way = minus(line[i + 1], out.back());
      const double length = std::hypot(way.x_m, way.y_m);
      if (length > 0.0 && std::abs(cross(way, minus(line[i], out.back()))) / length < 1e-6) continue;
    }
    out.push_back(line[i]);
  }
  return out;
}

/// The ring in parts of one owner each.
std::vector<Piece> pieces_of(const Polyline& ring, const Owners& owners) {
  Polyline points;
  std::vector<Owner> owner;  // of the edge after each point
  const bool closed = ring.front() == ring.back();
  for (std::size_t i = 0; i + 1 < ring.size(); ++i) {
    const double length = base::distance_m(ring[i], ring[i + 1]);
    const auto parts = static_cast<int>(std::max(1.0, std::ceil(length / kLongestEdge_m)));
    for (int k = 0; k < parts; ++k) {
      const Point way = minus(ring[i + 1], ring[i]);
      points.push_back(k == 0 ? ring[i] : plus(ring[i], times(static_cast<double>(k) / parts, way)));
      owner.push_back(owners.of(plus(ring[i], times((k + 0.5) / parts, way))));
    }
  }
  const std::size_t n = points.size();
  std::size_t start = 0;
  for (std::size_t i = 0; closed && i < n; ++i) {  // not in the middle of a piece
    if (owner[i] != owner[(i + n - 1) % n]) {
      start = i;
      break;
    }
  }
  std::vector<Piece> pieces;
  for (std::size_t k = 0; k < n; ++k) {
    const std::size_t i = (start + k) % n;
    if (k == 0 || owner[i] != pieces.back().owner) pieces.push_back({owner[i], {points[i]}});
    pieces.back().line.push_back(i + 1 < n ? points[i + 1] : ring.back());
  }
  return pieces;
}

/// At a dead end: does the ground rise around it?
bool rises_around(const terrain::Ground& ground, const Polyline& line, double height_m) {
  const double length = base::length_m(line);
  const auto count = static_cast<int>(std::max(3.0, std::ceil(length)));
  int shown = 0;
  for (int k = 0; k < count; ++k) {
    const double along = length * (k + 0.5) / count;
    const Point way =
        unit(minus(base::point_along(line, along + 0.25), base::point_along(line, along - 0.25)));
    const std::optional<double> step =
        terrain::step_near(ground, base::point_along(line, along), left_of(way), 1.5);
    shown += step && *step >= 0.5 * height_m ? 1 : 0;
  }
  return 2 * shown >= count;
}

/// "Kiln Street" → "kiln-street".
std::string plain_word(const std::string& name) {
  std::string word;
  for (const char c : name) {
    const bool letter = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9');
    const bool capital = c >= 'A' && c <= 'Z';
    const bool other = static_cast<unsigned char>(c) >= 0x80U;  // letters of other scripts stay as they are
    if (letter || capital || other) {
      word += capital ? static_cast<char>(c - 'A' + 'a') : c;
    } else if (!word.empty() && word.back() != '-') {
      word += '-';
    }
  }
  while (!word.empty() && word.back() == '-') word.pop_back();
  return word;
}

std::string id_of(const StreetBlock& block, bool left) {
  std::string id = block.street.empty() ? "unnamed" : plain_word(block.street);
  id += "-" + plain_word(block.side_names[left ? 0 : 1]);
  const std::string& cross = block.cross_streets[block.cross_streets[0].empty() ? 1 : 0];
  return cross.empty() ? id : fmt::format("{}-{}", id, plain_word(cross));
}

struct NamedCurb {
  terrain::CurbLine curb;
  CurbFacts facts;
  Point middle;
};

NamedCurb named_curb(const Piece& piece, const BlockNet& net, const terrain::Ground& ground,
                     const PieceSettings& settings) {
  NamedCurb named;
  named.curb.line = simple(piece.line);
  named.curb.street_side = terrain::StreetSide::Left;
  named.middle = base::point_along(named.curb.line, 0.5 * base::length_m(named.curb.line));
  named.facts.from = settings.from;
  named.facts.block = piece.owner.block;
  if (piece.owner.block < 0) {
    named.curb.id = "pavement-edge";
    return named;
  }
  const StreetBlock& block = net.blocks[at(piece.owner.block)].block;
  named.curb.id = id_of(block, piece.owner.left);
  named.curb.street = block.street;
  named.curb.side = block.side_names[piece.owner.left ? 0 : 1];
  named.curb.kind = block.kind;
  named.facts.water_runs_along = block.runs_along(piece.owner.left);
  if (settings.from == CurbFrom::Centreline) {
    named.facts.position_error_m = block.curb_error_m;
    named.facts.width_from = block.width_from;
    if (piece.owner.beyond && !rises_around(ground, piece.line, settings.height_m)) {
      named.curb.kind = terrain::CurbKind::None;
    }
  }
  return named;
}

}  // namespace

void cut_outline(const std::vector<base::Polygon>& pavement, const BlockNet& net,
                 const terrain::Ground& ground, const PieceSettings& settings, StreetCurbs& out) {
  const Owners owners(net, ground.frame, settings.reach_m);
  std::vector<NamedCurb> named;
  for (const terrain::CurbLine& ring : terrain::curbs_from_pavement(pavement, settings.height_m)) {
    for (const Piece& piece : pieces_of(ring.line, owners)) {
      if (piece.owner.drop || base::length_m(piece.line) < kShortestPiece_m) continue;
      named.push_back(named_curb(piece, net, ground, settings));
    }
  }
  std::sort(named.begin(), named.end(), [](const NamedCurb& a, const NamedCurb& b) {
    return a.curb.id != b.curb.id ? a.curb.id < b.curb.id : before(a.middle, b.middle);
  });
  std::map<std::string, int> count;
  for (NamedCurb& one : named) {
    const int number = ++count[one.curb.id];
    if (number > 1 || one.curb.id == "pavement-edge") one.curb.id += fmt::format("-{}", number);
    out.curbs.push_back(std::move(one.curb));
    out.facts.push_back(one.facts);
  }
}

}  // namespace curbshed::street::detail
