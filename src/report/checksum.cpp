#include "curbshed/report/checksum.hpp"

#include "curbshed/base/error.hpp"

#include <array>
#include <fstream>
#include <memory>
#include <vector>

#include <fmt/format.h>
#include <openssl/crypto.h>
#include <openssl/evp.h>

namespace curbshed::report {
namespace {

class Sha256 {
 public:
  Sha256() : context_(EVP_MD_CTX_new(), EVP_MD_CTX_free) {
    base::ensure(context_ != nullptr && EVP_DigestInit_ex(context_.get(), EVP_sha256(), nullptr) == 1,
                 "SHA-256 is there");
  }
  void add(const char* data, std::size_t size) {
    base::ensure(EVP_DigestUpdate(context_.get(), data, size) == 1, "SHA-256 takes data");
  }
  std::string hex() {
    std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
    unsigned int size = 0;
    base::ensure(EVP_DigestFinal_ex(context_.get(), digest.data(), &size) == 1, "SHA-256 ends");
    std::string text;
    for (unsigned int i = 0; i < size; ++i) {
      text += fmt::format("{:02x}", digest[i]);
    }
    return text;
  }

 private:
  std::unique_ptr<EVP_MD_CTX, decltype(&EVP_MD_CTX_free)> context_;
};

}  // namespace

std::string sha256_of_text(std::string_view text) {
  Sha256 sum;
  sum.add(text.data(), text.size());
  return sum.hex();
}

FileChecksum checksum_of_file(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  if (!file) {
    throw base::InputError({path, "", ""}, "the file cannot be read", "a file that you may read",
                           "check the path");
  }
  Sha256 sum;
  FileChecksum result;
  std::vector<char> block(1U << 20U);
  while (file) {
    file.read(block.data(), static_cast<std::streamsize>(block.size()));
    const std::streamsize got = file.gcount();
    sum.add(block.data(), static_cast<std::size_t>(got));
    result.bytes += got;
  }
  if (file.bad()) {
    throw base::InputError({path, "", ""}, "the file cannot be read to its end", "a whole file",
                           "check the disk");
  }
  result.sha256 = sum.hex();
  return result;
}

std::string crypto_library_version() { return OpenSSL_version(OPENSSL_VERSION_STRING); }

}  // namespace curbshed::report
