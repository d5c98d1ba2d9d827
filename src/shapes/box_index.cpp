#include "curbshed/shapes/box_index.hpp"

#include <algorithm>
#include <iterator>
#include <utility>

#define BOOST_ALLOW_DEPRECATED_HEADERS  // its own headers include some
#include <boost/geometry/geometries/box.hpp>
#include <boost/geometry/geometries/point.hpp>
#include <boost/geometry/index/rtree.hpp>

namespace curbshed::shapes {
namespace {

namespace bg = boost::geometry;
using BgPoint = bg::model::point<double, 2, bg::cs::cartesian>;
using BgBox = bg::model::box<BgPoint>;
using Value = std::pair<BgBox, std::int32_t>;

BgBox bg_box(const base::Box& box) {
  return {BgPoint(box.min_x_m, box.min_y_m), BgPoint(box.max_x_m, box.max_y_m)};
}

}  // namespace

struct BoxIndex::Tree {
  bg::index::rtree<Value, bg::index::quadratic<16>> values;
};

BoxIndex::BoxIndex(const std::vector<base::Box>& boxes) : tree_(std::make_unique<Tree>()) {
  std::vector<Value> values;
  for (std::size_t i = 0; i < boxes.size(); ++i) {
    if (!boxes[i].empty()) values.emplace_back(bg_box(boxes[i]), static_cast<std::int32_t>(i));
  }
  tree_->values = decltype(tree_->values)(values.begin(), values.end());
}
BoxIndex::~BoxIndex() = default;
BoxIndex::BoxIndex(BoxIndex&&) noexcept = default;
BoxIndex& BoxIndex::operator=(BoxIndex&&) noexcept = default;

std::vector<std::int32_t> BoxIndex::meeting(const base::Box& box) const {
  std::vector<std::int32_t> numbers;
  if (box.empty()) return numbers;
  std::vector<Value> found;
  tree_->values.query(bg::index::intersects(bg_box(box)), std::back_inserter(found));
  for (const Value& one : found) numbers.push_back(one.second);
  std::sort(numbers.begin(), numbers.end());
  return numbers;
}

}  // namespace curbshed::shapes
