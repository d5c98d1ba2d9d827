#include "curbshed/siting/rules_doc.hpp"

#include "support/temp_folder.hpp"

#include <cstdlib>
#include <fstream>

#include <gtest/gtest.h>

namespace curbshed::siting {
namespace {

TEST(RulesDoc, IsTheCommittedPage) {
  const std::string page = std::string(CURBSHED_SOURCE_DIR) + "/docs/rules.md";
  if (std::getenv("CURBSHED_WRITE_DOCS") != nullptr) {
    std::ofstream(page, std::ios::binary) << rules_doc();
  }
  EXPECT_EQ(testing::read_text(page), rules_doc())
      << "docs/rules.md is made from the table of rules: run this test once with CURBSHED_WRITE_DOCS=1";
}

}  // namespace
}  // namespace curbshed::siting
