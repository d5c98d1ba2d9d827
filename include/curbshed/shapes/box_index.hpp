// Which of many boxes meet a box.
#pragma once

#include "curbshed/base/geometry.hpp"

#include <cstdint>
#include <memory>
#include <vector>

namespace curbshed::shapes {

/// Built once, then read from any number of threads.
class BoxIndex {
 public:
  /// Empty boxes are never met.
  explicit BoxIndex(const std::vector<base::Box>& boxes);
  ~BoxIndex();
  BoxIndex(BoxIndex&&) noexcept;
  BoxIndex& operator=(BoxIndex&&) noexcept;

  /// Numbers of the boxes that share a point with `box`, edges included: each once, sorted. None for an empty
  /// box.
  std::vector<std::int32_t> meeting(const base::Box& box) const;

 private:
  struct Tree;
  std::unique_ptr<Tree> tree_;
};

}  // namespace curbshed::shapes
