// Room on disk for what does not fit into memory.
#pragma once

#include "curbshed/terrain/bands.hpp"

#include <cstdint>
#include <string>

namespace curbshed::geodata {

/// A file without a name in `folder`: the system frees it when it is closed or the process ends, however it
/// ends. InputErrors that name the folder: cannot be made, disk full.
class ScratchFile : public terrain::ByteStore {
 public:
  explicit ScratchFile(const std::string& folder);
  ~ScratchFile() override;
  ScratchFile(const ScratchFile&) = delete;
  ScratchFile& operator=(const ScratchFile&) = delete;

  void write(std::int64_t at, const void* bytes, std::int64_t count) override;
  void read(std::int64_t at, void* bytes, std::int64_t count) override;

 private:
  std::string folder_;
  int file_ = -1;
};

/// Bytes free in the file system of the folder, or of the nearest one above it that exists.
std::int64_t free_bytes(const std::string& folder);

}  // namespace curbshed::geodata
