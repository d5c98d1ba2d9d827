// While it lives, no file of this process may grow beyond a size: writing fails as on a full disk.
#pragma once

#include <csignal>
#include <cstdint>

#include <sys/resource.h>

namespace curbshed::testing {

class SmallDisk {
 public:
  explicit SmallDisk(std::int64_t bytes) {
    before_signal_ = std::signal(SIGXFSZ, SIG_IGN);
    getrlimit(RLIMIT_FSIZE, &before_);
    rlimit small = before_;
    small.rlim_cur = static_cast<rlim_t>(bytes);
    setrlimit(RLIMIT_FSIZE, &small);
  }
  ~SmallDisk() {
    setrlimit(RLIMIT_FSIZE, &before_);
    std::signal(SIGXFSZ, before_signal_);
  }
  SmallDisk(const SmallDisk&) = delete;
  SmallDisk& operator=(const SmallDisk&) = delete;

 private:
  rlimit before_{};
  void (*before_signal_)(int) = nullptr;
};

}  // namespace curbshed::testing
