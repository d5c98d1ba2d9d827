#include "curbshed/cli/study_layer.hpp"

#include "curbshed/base/error.hpp"
#include "curbshed/geodata/ground.hpp"

#include "support/small_study.hpp"

#include <gtest/gtest.h>

namespace curbshed::cli {
namespace {

using base::InputError;
using testing::SmallStudy;
using testing::TempFolder;

TEST(StudyLayer, PathsStartAtTheStudysFolder) {
  study::Settings settings;
  settings.folder = "studies/kiln";
  EXPECT_EQ(path_in_study(settings, "street.gpkg"), "studies/kiln/street.gpkg");
  EXPECT_EQ(path_in_study(settings, "/data/street.gpkg"), "/data/street.gpkg");
  EXPECT_EQ(path_in_study(settings, "/vsizip/a.zip/b.shp"), "/vsizip/a.zip/b.shp");
  EXPECT_EQ(path_in_study(settings, "PG:dbname=town"), "PG:dbname=town");
}

TEST(StudyLayer, RecordsHoldNoPasswordAndNoFolderOutside) {
  study::Settings settings;
  settings.folder = "/nowhere";
  EXPECT_EQ(input_file(settings, "street.curbs", "PG:dbname=town password=secret", "").file, "PG");
  EXPECT_EQ(input_file(settings, "street.curbs", "/home/someone/street.gpkg", "").file, "street.gpkg");
  EXPECT_EQ(input_file(settings, "street.curbs", "../shared/street.gpkg", "").file, "street.gpkg");
  EXPECT_EQ(input_file(settings, "street.curbs", "layers/street.gpkg", "").file, "layers/street.gpkg");
}

TEST(StudyLayer, ReadsMeasuresInTheUnitThatWasSaid) {
  const TempFolder folder;
  const std::string path = SmallStudy::write(folder);
  const study::Settings settings = study::read_study(path);
  const geodata::Projection projection = geodata::ground_projection(folder.file("elevation.asc"));
  const StudyLayer curbs(settings, "street.curbs", projection, {}, false);
  EXPECT_NEAR(curbs.measure(0, "height").value(), 0.1524, 1e-12);
  EXPECT_EQ(curbs.text(0, "kind"), "vertical");
  EXPECT_EQ(curbs.id(1), "south");
  const StudyLayer cuts(settings, "street.cuts", projection, {}, true);
  EXPECT_FALSE(cuts.measure(0, "opening").has_value());
  EXPECT_NEAR(cuts.measure(1, "opening").value(), 0.6096, 1e-12);
  EXPECT_FALSE(cuts.measure(0, "ponding").has_value());
}

TEST(StudyLayer, SharesSetAsideAreWeighed) {
  const TempFolder folder;
  const std::string path = SmallStudy::write(folder);
  const study::Settings settings = study::read_study(path);
  const geodata::Projection projection = geodata::ground_projection(folder.file("elevation.asc"));
  StudyLayer curbs(settings, "street.curbs", projection, {}, false);
  EXPECT_NO_THROW(curbs.check_share(0.0, true));
  curbs.set_aside(0, "bent");
  EXPECT_NO_THROW(curbs.check_share(0.5, false));
  EXPECT_THROW(curbs.check_share(0.4, false), InputError);
  EXPECT_THROW(curbs.check_share(1.0, true), InputError);
  EXPECT_EQ(curbs.notes().at(base::NoteId::FeatureSetAside).count, 1);
}

}  // namespace
}  // namespace curbshed::cli
