#include "curbshed/study/study_file_doc.hpp"

#include "support/temp_folder.hpp"

#include <cstdlib>
#include <fstream>

#include <gtest/gtest.h>

namespace curbshed::study {
namespace {

TEST(StudyFileDoc, IsTheCommittedPage) {
  const std::string page = std::string(CURBSHED_SOURCE_DIR) + "/docs/study-file.md";
  if (std::getenv("CURBSHED_WRITE_DOCS") != nullptr) {
    std::ofstream(page, std::ios::binary) << study_file_doc();
  }
  EXPECT_EQ(testing::read_text(page), study_file_doc())
      << "docs/study-file.md is made from the key table: run this test once with CURBSHED_WRITE_DOCS=1";
}

}  // namespace
}  // namespace curbshed::study
