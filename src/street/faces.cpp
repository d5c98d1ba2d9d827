#include "curbshed/street/faces.hpp"

#include <algorithm>
#include <tuple>

namespace curbshed::street {

namespace {

constexpr double kCorner_m = 30.0;

struct FaceEnd {
  double distance_m = 0.0;
  base::Point at;
  std::string cross;
};

/// Walks from one end of a piece to the end of the face. Nearest meeting end first, so drawing order does not
/// matter.
FaceEnd walk_to_end(const std::vector<terrain::CurbLine>& curbs, std::size_t curb, bool to_back,
                    double start_m, double meet_m) {
  FaceEnd end{start_m, to_back ? curbs[curb].line.back() : curbs[curb].line.front(), ""};
  std::vector<std::uint8_t> seen(curbs.size(), 0);
  seen[curb] = 1;
  for (;;) {
    std::size_t next = curbs.size();
    bool at_front = true;
    double nearest_m = meet_m;
    for (std::size_t i = 0; i < curbs.size(); ++i) {
      const terrain::CurbLine& other = curbs[i];
      if (seen[i] != 0 || other.line.empty() || other.street != curbs[curb].street ||
          other.side != curbs[curb].side)
        continue;
      for (const bool front : {true, false}) {
        const double gap_m = base::distance_m(end.at, front ? other.line.front() : other.line.back());
        if (gap_m < nearest_m || (gap_m == nearest_m && next == curbs.size())) {
          nearest_m = gap_m;
          next = i;
          at_front = front;
        }
      }
    }
    if (next == curbs.size()) return end;
    seen[next] = 1;
    end.distance_m += nearest_m + base::length_m(curbs[next].line);
    end.at = at_front ? curbs[next].line.back() : curbs[next].line.front();
  }
}

std::string cross_street(const std::vector<terrain::CurbLine>& curbs, const std::string& own,
                         base::Point end) {
  std::tuple<double, std::string> best{kCorner_m, ""};
  for (const terrain::CurbLine& other : curbs) {
    if (other.street.empty() || other.street == own || other.line.empty()) continue;
    const std::tuple<double, std::string> offer{base::nearest_place(other.line, end).offset_m, other.street};
    if (offer < best) best = offer;
  }
  return std::get<1>(best);
}

}  // namespace

FacePlace place_on_face(const std::vector<terrain::CurbLine>& curbs, std::size_t curb, double along_m,
                        double meet_m) {
  const terrain::CurbLine& own = curbs[curb];
  if (own.line.empty()) return {};
  const double length_m = base::length_m(own.line);
  const double along = std::clamp(along_m, 0.0, length_m);
  FaceEnd front = walk_to_end(curbs, curb, false, along, meet_m);
  FaceEnd back = walk_to_end(curbs, curb, true, length_m - along, meet_m);
  front.cross = cross_street(curbs, own.street, front.at);
  back.cross = cross_street(curbs, own.street, back.at);
  // Which end is "first" must not hang on how a piece was drawn: the western, then the southern end.
  const auto rank = [](const FaceEnd& e) {
    return std::tuple(e.cross.empty(), e.distance_m, e.at.x_m, e.at.y_m);
  };
  if (front.cross.empty() && back.cross.empty()) {
    const bool first = std::tie(front.at.x_m, front.at.y_m) <= std::tie(back.at.x_m, back.at.y_m);
    return {first ? front.distance_m : back.distance_m, "", ""};
  }
  const bool front_nearer = rank(front) <= rank(back);
  const FaceEnd& nearer = front_nearer ? front : back;
  return {nearer.distance_m, nearer.cross, (front_nearer ? back : front).cross};
}

}  // namespace curbshed::street
