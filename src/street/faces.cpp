#include "curbshed/street/faces.hpp"

#include "curbshed/base/names.hpp"

#include "street/face_pieces.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <tuple>

namespace curbshed::street {

namespace {

using base::Point;

constexpr double kCorner_m = 30.0;
constexpr double kFarthestCrossing_m = 40.0;
constexpr double kPi = 3.14159265358979323846;

/// A straight stretch of curb: a point on it and the way out of the face.
struct Straight {
  Point at;
  Point out;
  double along_m = 0.0;  ///< of `at`, from the end
};

Point from_end(const BlockFace& face, int end, double s) {
  return base::point_along(face.line, end == 0 ? s : face.length_m - s);
}

/// The first straight stretch met from an end. What is left of a curve at its beginning does not count.
std::optional<Straight> straight_from(const BlockFace& face, int end) {
  constexpr double kStep = 0.25;
  constexpr double kLook = 30.0;
  constexpr double kBent = 0.10;  // farthest off the chord
  constexpr int kSamples = 20;
  for (const double stretch : {10.0, 5.0}) {
    for (double s = 0.0; s <= kLook && s + stretch <= face.length_m; s += kStep) {
      const Point a = from_end(face, end, s);
      const Point b = from_end(face, end, s + stretch);
      bool straight = true;
      for (int i = 1; i < kSamples && straight; ++i) {
        const Point p = from_end(face, end, s + stretch * i / kSamples);
        straight = base::nearest_place({a, b}, p).offset_m <= kBent;
      }
      if (!straight) continue;
      const double begin = s + 0.3 * stretch;
      const Point p = from_end(face, end, begin);
      const double length = base::distance_m(p, b);
      if (!(length > 0.5 * stretch)) continue;
      return Straight{p, {(p.x_m - b.x_m) / length, (p.y_m - b.y_m) / length}, begin};
    }
  }
  return std::nullopt;
}

std::string compass(Point from, Point to) {
  const double dx = to.x_m - from.x_m;
  const double dy = to.y_m - from.y_m;
  if (std::fabs(dx) >= std::fabs(dy)) return dx < 0.0 ? "west" : "east";
  return dy < 0.0 ? "south" : "north";
}

/// Starts the tape where both straight curbs, carried on, meet.
void start_tape(const std::vector<BlockFace>& faces, const BlockFace& face, int end,
                const detail::NearCurb& cross, FaceEnd& out) {
  out.tape_start = out.at;
  if (cross.face < 0) return;
  const BlockFace& other = faces[static_cast<std::size_t>(cross.face)];
  const int other_end =
      base::distance_m(other.line.front(), out.at) <= base::distance_m(other.line.back(), out.at) ? 0 : 1;
  const std::optional<Straight> own = straight_from(face, end);
  const std::optional<Straight> theirs = straight_from(other, other_end);
  if (!own || !theirs) return;
  const double turn = own->out.x_m * theirs->out.y_m - own->out.y_m * theirs->out.x_m;
  if (std::fabs(turn) < std::sin(20.0 * kPi / 180.0)) return;
  const double t =
      ((theirs->at.x_m - own->at.x_m) * theirs->out.y_m - (theirs->at.y_m - own->at.y_m) * theirs->out.x_m) /
      turn;
  const Point meet{own->at.x_m + t * own->out.x_m, own->at.y_m + t * own->out.y_m};
  if (base::distance_m(meet, out.at) > kFarthestCrossing_m ||
      base::distance_m(meet, theirs->at) > 2.0 * kFarthestCrossing_m)
    return;
  out.at_crossing = true;
  out.tape_start = meet;
  out.reading_m = t - own->along_m;
}

}  // namespace

BlockFaces::BlockFaces(const std::vector<terrain::CurbLine>& curbs, double meet_m) {
  spot_of_curb_.resize(curbs.size());
  for (const terrain::CurbLine& curb : curbs) length_m_.push_back(base::length_m(curb.line));
  const detail::CurbBins near(curbs, kCorner_m);
  faces_ = detail::join_faces(curbs, meet_m, near);
  for (std::size_t f = 0; f < faces_.size(); ++f) {
    for (std::size_t p = 0; p < faces_[f].pieces.size(); ++p) {
      spot_of_curb_[static_cast<std::size_t>(faces_[f].pieces[p].curb)] = {static_cast<std::int32_t>(f),
                                                                           static_cast<std::int32_t>(p)};
    }
  }
  for (std::size_t f = 0; f < faces_.size(); ++f)
    of_street_[base::plain_name(faces_[f].street)].push_back(static_cast<std::int32_t>(f));
  std::vector<std::array<detail::NearCurb, 2>> cross(faces_.size());
  for (std::size_t f = 0; f < faces_.size(); ++f) {
    BlockFace& face = faces_[f];
    for (std::size_t e = 0; e < 2; ++e) {
      FaceEnd& end = face.ends[e];
      end.at = e == 0 ? face.line.front() : face.line.back();
      cross[f][e] =
          near.other_street(end.at, face.street, kCorner_m, e == 0 ? face.line.back() : face.line.front());
      if (cross[f][e].curb >= 0) {
        const auto curb = static_cast<std::size_t>(cross[f][e].curb);
        end.cross = curbs[curb].street;
        cross[f][e].face = spot_of_curb_[curb].face;
      }
    }
  }
  for (std::size_t f = 0; f < faces_.size(); ++f) {
    BlockFace& face = faces_[f];
    for (int e = 0; e < 2; ++e) {
      FaceEnd& end = face.ends[static_cast<std::size_t>(e)];
      const Point opposite = face.ends[static_cast<std::size_t>(1 - e)].at;
      end.heading = compass(end.at, opposite);
      end.name = end.cross.empty() ? compass(opposite, end.at) + " end" : end.cross;
      start_tape(faces_, face, e, cross[f][static_cast<std::size_t>(e)], end);
    }
  }
}

const std::vector<std::int32_t>& BlockFaces::of_street(const std::string& street) const {
  static const std::vector<std::int32_t> none;
  const auto found = of_street_.find(base::plain_name(street));
  return found == of_street_.end() ? none : found->second;
}

FacePlace BlockFaces::place(std::size_t curb, double along_m) const {
  const Spot spot = spot_of_curb_[curb];
  if (spot.face < 0) return {};
  const FacePiece& piece =
      faces_[static_cast<std::size_t>(spot.face)].pieces[static_cast<std::size_t>(spot.piece)];
  const double along = std::clamp(along_m, 0.0, length_m_[curb]);
  return place_at(spot.face, piece.start_m + (piece.backwards ? length_m_[curb] - along : along));
}

FacePlace BlockFaces::place_at(std::int32_t index, double along_m) const {
  const BlockFace& face = faces_[static_cast<std::size_t>(index)];
  FacePlace out;
  out.face = index;
  out.along_m = std::clamp(along_m, 0.0, face.length_m);
  const double readings[2] = {out.along_m + face.ends[0].reading_m,
                              face.length_m - out.along_m + face.ends[1].reading_m};
  const auto rank = [&](std::size_t e) { return std::tuple(face.ends[e].cross.empty(), readings[e], e); };
  const std::size_t nearer = rank(0) <= rank(1) ? 0 : 1;
  out.end = static_cast<int>(nearer);
  out.distance_m = readings[nearer];
  out.from = face.ends[nearer].cross;
  out.toward = face.ends[1 - nearer].cross;
  return out;
}

base::Point BlockFaces::point(std::int32_t face, double along_m) const {
  return base::point_along(faces_[static_cast<std::size_t>(face)].line, along_m);
}

}  // namespace curbshed::street
