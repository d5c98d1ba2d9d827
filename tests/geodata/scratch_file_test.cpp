#include "curbshed/geodata/scratch_file.hpp"

#include "curbshed/base/error.hpp"

#include "support/temp_folder.hpp"

#include <cstdint>
#include <filesystem>
#include <vector>

#include <gtest/gtest.h>

namespace curbshed::geodata {
namespace {

TEST(ScratchFile, KeepsBytesAtPlacesPast2To32WithoutANameInTheFolder) {
  const testing::TempFolder folder;
  ScratchFile file(folder.path());
  const std::vector<std::uint8_t> bytes = {1, 2, 3};
  file.write((std::int64_t{1} << 32) + 5, bytes.data(), 3);
  std::vector<std::uint8_t> back(6, 9);
  file.read((std::int64_t{1} << 32) + 3, back.data(), 6);
  EXPECT_EQ(back, (std::vector<std::uint8_t>{0, 0, 1, 2, 3, 0}));
  EXPECT_TRUE(std::filesystem::is_empty(folder.path()));
}

TEST(ScratchFile, AFolderThatIsNotThereIsNamed) {
  const testing::TempFolder folder;
  try {
    ScratchFile file(folder.file("none"));
    FAIL();
  } catch (const base::InputError& error) {
    EXPECT_EQ(error.where().file, folder.file("none"));
  }
}

TEST(ScratchFile, FreeBytesAreThoseOfTheNearestFolderThatExists) {
  const testing::TempFolder folder;
  EXPECT_GT(free_bytes(folder.path()), 0);
  EXPECT_GT(free_bytes(folder.file("a/b/c")), 0);
}

}  // namespace
}  // namespace curbshed::geodata
