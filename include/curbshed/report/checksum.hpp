// SHA-256 of files, so that a reader can tell which inputs a result belongs to.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

namespace curbshed::report {

/// 64 small hexadecimal digits (FIPS 180-4).
std::string sha256_of_text(std::string_view text);

struct FileChecksum {
  std::string sha256;
  std::int64_t bytes = 0;
};
/// InputError when the file cannot be read.
FileChecksum checksum_of_file(const std::string& path);

/// Version of OpenSSL as it runs, "3.0.19".
std::string crypto_library_version();

}  // namespace curbshed::report
