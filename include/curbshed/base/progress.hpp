// How a long piece of work tells where it is.
#pragma once

#include <functional>
#include <string_view>
#include <utility>

namespace curbshed::base {

/// Given to long work by whoever shows it. One that is made without functions listens to nothing.
class Progress {
 public:
  using OnStage = std::function<void(std::string_view)>;
  using OnShare = std::function<void(double)>;

  Progress() = default;
  /// `on_share` may be called from several threads at once.
  Progress(OnStage on_stage, OnShare on_share)
      : on_stage_(std::move(on_stage)), on_share_(std::move(on_share)) {}

  /// The stage before is over and this one begins.
  void stage(std::string_view name) const {
    if (on_stage_) on_stage_(name);
  }
  /// So much of the stage is done, 0 to 1.
  void share(double done) const {
    if (on_share_) on_share_(done);
  }

 private:
  OnStage on_stage_;
  OnShare on_share_;
};

}  // namespace curbshed::base
