// Stores and sources in memory for work that is done band by band.
#pragma once

#include "curbshed/terrain/bands.hpp"

#include <algorithm>
#include <cstring>
#include <vector>

namespace curbshed::testing {

class ByteList : public terrain::ByteStore {
 public:
  void write(std::int64_t at, const void* bytes, std::int64_t count) override {
    const auto end = static_cast<std::size_t>(at + count);
    if (bytes_.size() < end) bytes_.resize(end, 0);
    if (count > 0) std::memcpy(bytes_.data() + at, bytes, static_cast<std::size_t>(count));
  }
  void read(std::int64_t at, void* bytes, std::int64_t count) override {
    const auto there = static_cast<std::int64_t>(bytes_.size()) - at;
    const std::int64_t known = std::clamp<std::int64_t>(there, 0, count);
    auto* to = static_cast<std::uint8_t*>(bytes);
    std::fill_n(to, count, std::uint8_t{0});
    if (known > 0) std::memcpy(to, bytes_.data() + at, static_cast<std::size_t>(known));
  }
  template <class T>
  std::vector<T> as() const {
    std::vector<T> list(bytes_.size() / sizeof(T));
    if (!list.empty()) std::memcpy(list.data(), bytes_.data(), list.size() * sizeof(T));
    return list;
  }

 private:
  std::vector<std::uint8_t> bytes_;
};

class GroundInMemory : public terrain::GroundRows {
 public:
  explicit GroundInMemory(const terrain::Ground& ground) : ground_(ground) {}
  void read(std::int64_t row0, std::int64_t rows, float* height_m, std::uint8_t* valid) override {
    const std::int64_t first = row0 * ground_.frame.cols;
    for (std::int64_t i = 0; i < rows * ground_.frame.cols; ++i) {
      valid[i] = ground_.valid[first + i];
      height_m[i] = valid[i] != 0 ? ground_.height_m[first + i] : 0.0F;
    }
  }

 private:
  const terrain::Ground& ground_;
};

}  // namespace curbshed::testing
