#include "curbshed/geodata/output_folder.hpp"

#include "curbshed/base/error.hpp"

#include "support/temp_folder.hpp"

#include <filesystem>
#include <memory>

#include <gtest/gtest.h>

namespace curbshed::geodata {
namespace {

namespace fs = std::filesystem;
using base::InputError;
using testing::TempFolder;

const char* const kManifest = "{\n  \"format\": 1,\n  \"program\": \"curbshed\"\n}\n";

void fill(const std::string& folder, const std::string& text) {
  std::ofstream(folder + "/table.csv") << text;
  std::ofstream(folder + "/manifest.json") << kManifest;
}

void make_results(const std::string& folder, const std::string& text, bool overwrite = false) {
  OutputFolder out({folder, overwrite});
  fill(out.partial(), text);
  out.commit();
}

std::string message(const OutputRequest& request) {
  try {
    const OutputFolder out(request);
  } catch (const InputError& error) {
    return error.met();
  }
  return "";
}

std::size_t entries(const std::string& folder) {
  return static_cast<std::size_t>(std::distance(fs::directory_iterator(folder), fs::directory_iterator()));
}

TEST(OutputFolder, ResultsAppearWholeAndNothingElseIsLeft) {
  const TempFolder folder;
  const std::string out = folder.file("out");
  {
    OutputFolder open({out, false});
    fill(open.partial(), "one");
    EXPECT_FALSE(fs::exists(out));
    open.commit();
  }
  EXPECT_EQ(testing::read_text(out + "/table.csv"), "one");
  EXPECT_EQ(entries(out), 2U);
  EXPECT_EQ(entries(folder.path()), 1U);
}

TEST(OutputFolder, OldResultsStayUntilTheSwap) {
  const TempFolder folder;
  const std::string out = folder.file("out");
  make_results(out, "old");
  OutputFolder open({out, true});
  fill(open.partial(), "new");
  EXPECT_EQ(testing::read_text(out + "/table.csv"), "old");
  open.commit();
  EXPECT_EQ(testing::read_text(out + "/table.csv"), "new");
  EXPECT_FALSE(fs::exists(out + ".partial"));
}

TEST(OutputFolder, WithoutCommitTheOldOnesStay) {
  const TempFolder folder;
  const std::string out = folder.file("out");
  make_results(out, "old");
  {
    const OutputFolder open({out, true});
    fill(open.partial(), "new");
  }
  EXPECT_EQ(testing::read_text(out + "/table.csv"), "old");
  EXPECT_EQ(entries(folder.path()), 1U);
}

TEST(OutputFolder, ExistingResultsNeedOverwrite) {
  const TempFolder folder;
  make_results(folder.file("out"), "old");
  EXPECT_EQ(message({folder.file("out"), false}), "the output exists");
  EXPECT_EQ(message({folder.file("out") + "/", false}), "the output exists");
  EXPECT_THROW(check_output_request({folder.file("out"), false}), InputError);
  EXPECT_NO_THROW(check_output_request({folder.file("out"), true}));
}

TEST(OutputFolder, ForeignFoldersAreNeverTouched) {
  const TempFolder folder;
  folder.write("photos/cat.jpg", "cat");
  EXPECT_EQ(message({folder.file("photos"), true}),
            "the output folder holds other things than results of curbshed");
  folder.write("other/manifest.json", "{ \"name\": \"an app\" }");
  EXPECT_EQ(message({folder.file("other"), true}),
            "the output folder holds other things than results of curbshed");
  folder.write("file", "text");
  EXPECT_EQ(message({folder.file("file"), true}), "the output is no folder");
  folder.write("out.partial/mine.txt", "mine");
  EXPECT_EQ(message({folder.file("out"), false}), "this is in the way and is not ours");
  EXPECT_EQ(testing::read_text(folder.file("out.partial/mine.txt")), "mine");
  EXPECT_EQ(testing::read_text(folder.file("photos/cat.jpg")), "cat");
}

TEST(OutputFolder, TwoRunsNeverShareAFolder) {
  const TempFolder folder;
  const std::string out = folder.file("out");
  auto first = std::make_unique<OutputFolder>(OutputRequest{out, false});
  EXPECT_EQ(message({out, false}), "another run is writing to this folder");
  first.reset();
  EXPECT_EQ(message({out, false}), "");
}

TEST(OutputFolder, LeftoversOfADeadRunAreRemoved) {
  const TempFolder folder;
  const std::string out = folder.file("out");
  make_results(out, "old");
  folder.write("out.partial/.curbshed-partial", "");
  folder.write("out.partial/half.tif", "half");
  folder.write("out.lock", "");
  make_results(out, "new", true);
  EXPECT_EQ(testing::read_text(out + "/table.csv"), "new");
  EXPECT_EQ(entries(folder.path()), 1U);
}

TEST(OutputFolder, OldResultsThatWereMovedAwayComeBack) {
  const TempFolder folder;
  const std::string out = folder.file("out");
  make_results(out, "old");
  fs::rename(out, out + ".previous");
  EXPECT_EQ(message({out, false}), "the output exists");
  EXPECT_EQ(testing::read_text(out + "/table.csv"), "old");
}

TEST(OutputFolder, AnEmptyFolderMayBeFilled) {
  const TempFolder folder;
  fs::create_directory(folder.file("out"));
  make_results(folder.file("out"), "one");
  EXPECT_EQ(testing::read_text(folder.file("out/table.csv")), "one");
}

TEST(OutputFolder, AFolderWithoutManifestIsNotSwappedIn) {
  const TempFolder folder;
  OutputFolder open({folder.file("out"), false});
  EXPECT_THROW(open.commit(), base::BugError);
}

TEST(OutputFolder, AbandonedOnesAreGone) {
  const TempFolder folder;
  OutputFolder open({folder.file("out"), false});
  fill(open.partial(), "half");
  open.abandon();
  EXPECT_FALSE(fs::exists(folder.file("out.partial")));
}

}  // namespace
}  // namespace curbshed::geodata
