#include "curbshed/street/centrelines.hpp"

#include "street/block_fits.hpp"
#include "street/curb_pieces.hpp"
#include "street/pavement_shape.hpp"

#include <algorithm>
#include <tuple>

namespace curbshed::street {

namespace {

StreetCurbs answer_of(const detail::BlockNet& net) {
  StreetCurbs out;
  for (const detail::BlockDraft& draft : net.blocks) out.blocks.push_back(draft.block);
  out.unused = net.unused;
  std::sort(out.unused.begin(), out.unused.end(), [](const UnusedLine& a, const UnusedLine& b) {
    return std::tie(a.id, a.reason) < std::tie(b.id, b.reason);
  });
  return out;
}

detail::BlockNet measured(const std::vector<Centreline>& lines, const terrain::Ground& ground,
                          const CentrelineSettings& settings) {
  detail::BlockNet net = detail::cut_into_blocks(lines, ground);
  detail::fit_blocks(ground, settings, net);
  return net;
}

}  // namespace

bool StreetBlock::runs_along(bool left) const {
  switch (fall) {
    case PavementFall::Inverted:
      return false;
    case PavementFall::ToLeft:
      return left;
    case PavementFall::ToRight:
      return !left;
    case PavementFall::Unknown:
    case PavementFall::Crowned:
      break;
  }
  return true;
}

StreetCurbs curbs_from_centrelines(const std::vector<Centreline>& lines, const terrain::Ground& ground,
                                   const CentrelineSettings& settings) {
  const detail::BlockNet net = measured(lines, ground, settings);
  StreetCurbs out = answer_of(net);
  out.pavement = detail::pavement_of(ground, settings, net);
  detail::PieceSettings pieces;
  pieces.height_m = settings.vertical_height_m;
  pieces.from = CurbFrom::Centreline;
  detail::cut_outline(out.pavement, net, ground, pieces, out);
  return out;
}

StreetCurbs name_pavement_edges(const std::vector<base::Polygon>& pavement,
                                const std::vector<Centreline>& lines, const terrain::Ground& ground,
                                const CentrelineSettings& settings) {
  const detail::BlockNet net = measured(lines, ground, settings);
  StreetCurbs out = answer_of(net);
  detail::PieceSettings pieces;
  pieces.height_m = settings.vertical_height_m;
  pieces.from = CurbFrom::Pavement;
  detail::cut_outline(pavement, net, ground, pieces, out);
  return out;
}

}  // namespace curbshed::street
