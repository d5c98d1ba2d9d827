#include "curbshed/report/checksum.hpp"

#include "curbshed/base/error.hpp"

#include "support/temp_folder.hpp"

#include <gtest/gtest.h>

namespace curbshed::report {
namespace {

// FIPS 180-4 examples (NIST, "SHA-256" example values): "abc" and the empty message.
TEST(Checksum, PublishedExamples) {
  EXPECT_EQ(sha256_of_text("abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  EXPECT_EQ(sha256_of_text(""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
}

TEST(Checksum, FilesAreReadWhole) {
  const testing::TempFolder folder;
  const std::string large(3'000'000, 'x');
  const FileChecksum sum = checksum_of_file(folder.write("large", large));
  EXPECT_EQ(sum.bytes, 3'000'000);
  EXPECT_EQ(sum.sha256, sha256_of_text(large));
  EXPECT_THROW(checksum_of_file(folder.file("missing")), base::InputError);
}

}  // namespace
}  // namespace curbshed::report
