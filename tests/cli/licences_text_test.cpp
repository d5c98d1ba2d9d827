#include "curbshed/cli/licences_text.hpp"

#include "curbshed/cli/version_text.hpp"

#include "support/program.hpp"
#include "support/temp_folder.hpp"

#include <cstdlib>
#include <fstream>

#include <gtest/gtest.h>

namespace curbshed::cli {
namespace {

TEST(LicencesText, NamesEveryLibraryThatTheProgramNames) {
  const std::string text = licences_text();
  for (const auto& [name, version] : all_library_versions()) {
    EXPECT_NE(text.find("\n" + (name == "Boost" ? std::string("Boost.Graph, Boost.Geometry") : name) + ":"),
              std::string::npos)
        << name;
  }
}

TEST(LicencesText, IsTheCommittedPage) {
  const std::string path = std::string(CURBSHED_SOURCE_DIR) + "/docs/third-party.md";
  if (std::getenv("CURBSHED_WRITE_DOCS") != nullptr) {
    std::ofstream(path) << licences_page();
  }
  EXPECT_EQ(testing::read_text(path), licences_page());
}

TEST(LicencesText, TheProgramPrintsIt) {
  const testing::TempFolder folder;
  const testing::Ran ran = testing::run_program(folder, "licences");
  EXPECT_EQ(ran.exit_code, 0);
  EXPECT_EQ(ran.err, "");
  EXPECT_EQ(ran.out, licences_text());
}

}  // namespace
}  // namespace curbshed::cli
