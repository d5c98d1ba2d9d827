// The sample with the features of every layer in another order: the same bytes.
#include "support/program.hpp"

#include <algorithm>
#include <filesystem>
#include <random>
#include <set>
#include <sstream>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>
#include <ogrsf_frmts.h>

namespace curbshed::testing {
namespace {

namespace fs = std::filesystem;

const std::string kSample = std::string(CURBSHED_SOURCE_DIR) + "/sample-rasters/four-blocks/";

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines;
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) lines.push_back(line);
  return lines;
}

void shuffle_csv(const std::string& from, const std::string& to, std::mt19937& random) {
  std::vector<std::string> lines = lines_of(read_text(from));
  std::shuffle(lines.begin() + 1, lines.end(), random);
  std::ofstream out(to, std::ios::binary);
  for (const std::string& line : lines) out << line << "\n";
}

/// Every layer of a GeoPackage, its features in another order; `nameless`: the field id under another name.
void shuffle_package(const std::string& from, const std::string& to, bool nameless, std::mt19937& random) {
  GDALAllRegister();
  GDALDatasetUniquePtr in(GDALDataset::Open(from.c_str(), GDAL_OF_VECTOR));
  GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("GPKG");
  GDALDatasetUniquePtr out(driver->Create(to.c_str(), 0, 0, 0, GDT_Unknown, nullptr));
  for (int i = in->GetLayerCount() - 1; i >= 0; --i) {
    OGRLayer* layer = in->GetLayer(i);
    OGRLayer* copy = out->CreateLayer(layer->GetName(), layer->GetSpatialRef(), layer->GetGeomType());
    for (int f = 0; f < layer->GetLayerDefn()->GetFieldCount(); ++f) {
      OGRFieldDefn field(layer->GetLayerDefn()->GetFieldDefn(f));
      if (nameless && std::string(field.GetNameRef()) == "id") field.SetName("label");
      copy->CreateField(&field);
    }
    std::vector<OGRFeatureUniquePtr> features;
    for (OGRFeatureUniquePtr feature(layer->GetNextFeature()); feature;
         feature.reset(layer->GetNextFeature()))
      features.emplace_back(feature->Clone());
    std::shuffle(features.begin(), features.end(), random);
    for (const OGRFeatureUniquePtr& feature : features) {
      OGRFeatureUniquePtr moved(OGRFeature::CreateFeature(copy->GetLayerDefn()));
      for (int f = 0; f < feature->GetFieldCount(); ++f) moved->SetField(f, feature->GetRawFieldRef(f));
      moved->SetGeometry(feature->GetGeometryRef());
      ASSERT_EQ(copy->CreateFeature(moved.get()), OGRERR_NONE);
    }
  }
}

std::set<std::string> files_in(const std::string& folder) {
  std::set<std::string> names;
  for (const fs::directory_entry& entry : fs::recursive_directory_iterator(folder)) {
    if (entry.is_regular_file()) names.insert(fs::relative(entry.path(), folder).generic_string());
  }
  return names;
}

/// The manifest without checksum and size of the inputs.
nlohmann::json plain_manifest(const std::string& path) {
  nlohmann::json manifest = nlohmann::json::parse(read_text(path));
  for (nlohmann::json& input : manifest["inputs"]) {
    EXPECT_EQ(input.erase("sha256"), 1U);
    input.erase("bytes");
  }
  return manifest;
}

/// The results in folder `a` and in folder `b`.
void expect_same_results(const std::string& a, const std::string& b) {
  const std::set<std::string> names = files_in(a);
  EXPECT_EQ(files_in(b), names);
  EXPECT_GT(names.size(), 12U);
  for (const std::string& name : names) {
    if (name == "run-log.json") continue;
    if (name == "manifest.json") {
      EXPECT_EQ(plain_manifest(a + "/" + name), plain_manifest(b + "/" + name));
    } else {
      EXPECT_TRUE(read_text(a + "/" + name) == read_text(b + "/" + name)) << name;
    }
  }
}

/// The sample in a folder of its own, shuffled. Without names: no cut, inlet, outfall or curb has one.
void write_sample(const TempFolder& folder, const std::string& name, bool nameless, std::mt19937& random) {
  const auto to = [&](const char* file) { return folder.file(name + "/" + file); };
  fs::create_directories(folder.file(name));
  std::string study = read_text(kSample + "study.toml");
  for (const std::string field : {"id = \"id\", ", "id = \"id\" "}) {
    for (std::size_t at = study.find(field); nameless && at != std::string::npos; at = study.find(field))
      study.replace(at, field.size(), "");
  }
  folder.write(name + "/study.toml", study);
  fs::copy_file(kSample + "ground.tif", to("ground.tif"));
  shuffle_csv(kSample + "cuts.csv", to("cuts.csv"), random);
  if (nameless) {
    const std::string text = read_text(to("cuts.csv"));
    folder.write(name + "/cuts.csv", "label" + text.substr(2));
  }
  for (const char* file : {"street.gpkg", "lots.gpkg"})
    shuffle_package(kSample + file, to(file), nameless, random);
}

TEST(ShuffledLayers, ChangeNoIdAndNoByte) {
  const TempFolder folder;
  const Ran first = run_program(folder, "run '" + kSample + "study.toml' --out plain");
  ASSERT_EQ(first.exit_code, 0) << first.err;
  std::mt19937 random(20261125);
  for (const std::string turn : {"first", "second"}) {
    write_sample(folder, turn, false, random);
    const Ran second = run_program(folder, "run " + turn + "/study.toml --out " + turn + "-out");
    ASSERT_EQ(second.exit_code, 0) << second.err;
    EXPECT_EQ(second.out, first.out) << "seed 20261125, turn " << turn;
    expect_same_results(folder.file("plain"), folder.file(turn + "-out"));
  }
}

TEST(ShuffledLayers, WithoutNamesTheIdsAreTheSame) {
  const TempFolder folder;
  std::mt19937 random(4);
  std::vector<std::string> pages;
  for (const std::string turn : {"first", "second"}) {
    write_sample(folder, turn, true, random);
    const Ran ran = run_program(folder, "run " + turn + "/study.toml --out " + turn + "-out");
    ASSERT_EQ(ran.exit_code, 0) << ran.err;
    pages.push_back(ran.out);
  }
  EXPECT_NE(read_text(folder.file("first-out/cuts.csv")).find("kiln-street-north-cistern-street-west-"),
            std::string::npos);
  EXPECT_EQ(pages[0], pages[1]) << "seed 4";
  expect_same_results(folder.file("first-out"), folder.file("second-out"));
}

}  // namespace
}  // namespace curbshed::testing
