#include "curbshed/geodata/projection.hpp"

#include "curbshed/base/quantity.hpp"

#include <gtest/gtest.h>

namespace curbshed::geodata {
namespace {

using base::InputError;

TEST(Projection, KnowsItsUnit) {
  EXPECT_EQ(read_projection("EPSG:28992", {}).unit, "m");
  const Projection feet = read_projection("EPSG:2994", {});
  EXPECT_EQ(feet.unit, "ft");
  EXPECT_DOUBLE_EQ(feet.metres_per_unit, 0.3048);
  const Projection survey = read_projection("EPSG:2225", {});
  EXPECT_EQ(survey.unit, "usft");
  EXPECT_EQ(survey.metres_per_unit, 1200.0 / 3937.0);
  EXPECT_EQ(survey.code, "EPSG:2225");
}

TEST(Projection, VerticalPartsAreLeftOff) {
  EXPECT_EQ(read_projection("EPSG:6341+5703", {}).code, "EPSG:6341");
  EXPECT_EQ(read_projection("EPSG:6341+5703", {}).wkt, read_projection("EPSG:6341", {}).wkt);
}

TEST(Projection, ItsWktReadsBackTheSame) {
  const Projection once = read_projection("EPSG:2994", {});
  const Projection twice = read_projection(once.wkt, {});
  EXPECT_EQ(once.wkt, twice.wkt);
  EXPECT_EQ(once.code, twice.code);
}

TEST(Projection, RefusesWhatIsNotProjected) {
  for (const char* text : {"EPSG:4326", "EPSG:3857", "EPSG:4978", "EPSG:5703", "nonsense", "",
                           "http://127.0.0.1/x", "/etc/passwd"}) {
    EXPECT_THROW(read_projection(text, {}), InputError) << text;
  }
  try {
    read_projection("EPSG:4326", {.file = "study.toml"}, base::Point{-58.4, -34.6});
    FAIL();
  } catch (const InputError& e) {
    EXPECT_NE(e.next().find("WGS 84 / UTM zone 21S (EPSG:32721)"), std::string::npos) << e.what();
  }
}

TEST(Projection, UtmZones) {
  EXPECT_EQ(utm_zone_of(-110.97, 32.2), "WGS 84 / UTM zone 12N (EPSG:32612)");
  EXPECT_EQ(utm_zone_of(4.36, 52.0), "WGS 84 / UTM zone 31N (EPSG:32631)");
  EXPECT_EQ(utm_zone_of(180.0, -1.0), "WGS 84 / UTM zone 60S (EPSG:32760)");
}

}  // namespace
}  // namespace curbshed::geodata
