#include "curbshed/study/field_values.hpp"

#include "curbshed/study/preparation.hpp"

#include "support/study_block.hpp"

#include <algorithm>

#include <fmt/format.h>
#include <gtest/gtest.h>

namespace curbshed::testing {
namespace {

using namespace curbshed::study;
using base::InputError;

/// Kiln Street falls 1 % to the east with a crossfall of 2 % and a curb of 15 cm; "a" lies above "b".
StudyInputs two_cuts() {
  DrawnBlock block = draw_block({});
  block.cut("a", -20.0, 5.0);
  block.cut("b", 10.0, 5.0);
  block.inlet("drain", 30.0, 5.0);
  block.outfall("out", 60.0, 5.0);
  return inputs_of(block);
}

FieldRow row(const std::string& cut, int line) {
  FieldRow one;
  one.cut = cut;
  one.by = fmt::format("field.csv, line {}", line);
  one.where = {"field.csv", "street.field", fmt::format("line {}", line)};
  return one;
}
FieldRow row(const std::string& cut, int line, FieldValue what, double value) {
  FieldRow one = row(cut, line);
  one.values[static_cast<std::size_t>(what)] = value;
  return one;
}
FieldRow water(const std::string& cut, int line, bool seen, const std::string& date) {
  FieldRow one = row(cut, line);
  one.water_seen = seen;
  one.date = date;
  return one;
}

FieldRow level(const std::string& cut, FieldValue what, double value, std::optional<double> error_m = {}) {
  FieldRow one = row(cut, 2, what, value);
  one.error_m = error_m;
  return one;
}

Preparation with(const std::vector<FieldRow>& rows) {
  StudyInputs inputs = two_cuts();
  inputs.field = rows;
  return prepare(inputs, usual_settings(), {});
}

std::string refused(const std::vector<FieldRow>& rows) {
  try {
    with(rows);
  } catch (const InputError& error) {
    return error.what();
  }
  return "was taken";
}

std::size_t node(const Preparation& p, const std::string& id) {
  return static_cast<std::size_t>(node_of(p.model.network, id));
}

TEST(FieldValues, CountAtTheirCutAndNowhereElse) {
  const Preparation plain = with({});
  FieldRow all = row("a", 2, FieldValue::Grade, 0.013);
  all.values[static_cast<std::size_t>(FieldValue::CrossSlope)] = 0.031;
  all.values[static_cast<std::size_t>(FieldValue::CurbHeight)] = 0.12;
  all.values[static_cast<std::size_t>(FieldValue::RimBelowCurb)] = 0.02;
  all.values[static_cast<std::size_t>(FieldValue::Infiltration)] = 40e-3 / 3600.0;
  const Preparation p = with({all});
  const std::size_t a = node(p, "a");
  const std::size_t b = node(p, "b");
  const street::Network& net = p.model.network;
  EXPECT_EQ(net.grade[a], 0.013);
  EXPECT_EQ(p.model.params[a].grade, 0.013);
  EXPECT_EQ(p.model.params[a].cross_slope, 0.031);
  EXPECT_EQ(net.curb_height_m[a], 0.12);
  EXPECT_EQ(net.grade_from[a], street::ValueFrom::Measured);
  EXPECT_DOUBLE_EQ(p.model.params[a].basin.rim_m, net.gutter_level_m[a] + 0.12 - 0.02);
  EXPECT_EQ(p.model.params[a].basin.infiltration_m_s, 40e-3 / 3600.0);
  EXPECT_EQ(net.grade[b], plain.model.network.grade[b]);
  EXPECT_EQ(net.grade_from[b], street::ValueFrom::Fitted);
  EXPECT_EQ(p.model.params[b].basin.rim_m, plain.model.params[b].basin.rim_m);
}

TEST(FieldValues, EachOverrideTellsWhatStoodThereBefore) {
  const Preparation plain = with({});
  FieldRow one = row("a", 4, FieldValue::Infiltration, 1e-5);
  one.method = "1 ft hole";
  one.date = "3 May";
  const Preparation p = with({row("a", 3, FieldValue::Grade, 0.02), one});
  ASSERT_EQ(p.field.overrides.size(), 2U);
  const FieldOverride& grade = p.field.overrides[0];
  EXPECT_EQ(grade.what, FieldValue::Grade);
  EXPECT_EQ(grade.value, 0.02);
  EXPECT_EQ(grade.before, plain.model.network.grade[node(plain, "a")]);
  EXPECT_EQ(grade.before_from, "fitted");
  EXPECT_EQ(grade.by, "field.csv, line 3");
  const FieldOverride& rate = p.field.overrides[1];
  EXPECT_EQ(rate.before, usual_settings().basin.infiltration_m_s);
  EXPECT_EQ(rate.method, "1 ft hole");
  EXPECT_EQ(rate.date, "3 May");
}

TEST(FieldValues, AGutterLevelTakesTheTopOfTheCurbAlong) {
  const Preparation plain = with({});
  const std::size_t a = node(plain, "a");
  const double level_m = plain.model.network.gutter_level_m[a] - 0.05;
  const Preparation p = with({row("a", 2, FieldValue::GutterLevel, level_m)});
  EXPECT_EQ(p.model.params[a].basin.invert_m, level_m);
  EXPECT_EQ(p.model.network.curb_height_m[a], plain.model.network.curb_height_m[a]);
  // The lowest of the rim was the curb (its lots rise from its top): it moves down with the gutter.
  EXPECT_NEAR(p.model.params[a].basin.rim_m, plain.model.params[a].basin.rim_m, 0.051);
}

TEST(FieldValues, ARimLevelIsTakenAsItIs) {
  const Preparation plain = with({});
  const double level_m = plain.model.network.gutter_level_m[node(plain, "b")] - 0.03;
  const Preparation p = with({row("b", 2, FieldValue::RimLevel, level_m)});
  EXPECT_EQ(p.model.params[node(p, "b")].basin.rim_m, level_m);
  EXPECT_EQ(p.model.notes.at(base::NoteId::BasinSpillsOverRim).first_feature, "b");
}

TEST(FieldValues, AMeasuredCurbMovesTheWayOverItThatIsNear) {
  street::Network net;
  net.kind = {street::NodeKind::Cut};
  net.id = {"a"};
  net.at = {{0.0, 0.0}};
  net.curb_height_m = {0.15};
  net.gutter_level_m = {100.0};
  net.side_ways = {{0, -1, street::SideWayKind::OverCurb, 0.151, {2.0, 0.0}},
                   {0, -1, street::SideWayKind::OverCurb, 0.16, {9.0, 0.0}},
                   {0, -1, street::SideWayKind::OverCurb, 0.30, {3.0, 0.0}}};
  const std::vector<FieldRow> rows = {row("a", 2, FieldValue::CurbHeight, 0.20)};  // outlives its notes
  FieldNotes field(rows, net, {}, 3.0);
  field.correct_network(net);
  ASSERT_EQ(net.side_ways.size(), 3U);
  EXPECT_EQ(net.side_ways[0].begins_depth_m, 0.16);  // 9 m off: another piece of curb
  EXPECT_NEAR(net.side_ways[1].begins_depth_m, 0.201, 1e-12);
  EXPECT_EQ(net.side_ways[2].begins_depth_m, 0.30);  // the ground behind decides
  EXPECT_EQ(*field.crest_m(net, 0), 100.2);
}

TEST(FieldValues, AMeasuredGradeIsNoLongerUnknown) {
  StraightStreet street;
  street.grade = 0.002;
  DrawnBlock block = draw_block(street);
  block.cut("a", 0.0, 5.0);
  StudyInputs inputs = inputs_of(block);
  EXPECT_TRUE(prepare(inputs, usual_settings(), {}).model.notes.has(base::NoteId::GradeFlatOrUnknown));
  inputs.field = {row("a", 2, FieldValue::Grade, 0.004)};
  EXPECT_FALSE(prepare(inputs, usual_settings(), {}).model.notes.has(base::NoteId::GradeFlatOrUnknown));
}

TEST(FieldValues, ARowFindsItsCutByPlaceOrByPlaceId) {
  FieldRow near = row("", 2, FieldValue::Grade, 0.011);
  near.at = base::Point{11.5, 4.0};
  const Preparation p = with({near});
  ASSERT_EQ(p.field.overrides.size(), 1U);
  EXPECT_EQ(p.field.overrides[0].node, node_of(p.model.network, "b"));
  const std::string own = p.maps.street.places[node(p, "a")].own_id;
  EXPECT_EQ(with({row(own, 2, FieldValue::Grade, 0.011)}).field.overrides[0].node,
            node_of(p.model.network, "a"));
}

TEST(FieldValues, RowsThatCannotBeUsedNameThemselves) {
  EXPECT_EQ(
      refused({row("a7", 5, FieldValue::Grade, 0.01)}),
      "field.csv, street.field, line 5: there is no cut or drain inlet \"a7\". Allowed: an id of the study; "
      "near it: a, b, drain. Do: write the id of a cut as in cuts.csv of the results, or its place.");
  FieldRow far = row("", 6, FieldValue::Grade, 0.01);
  EXPECT_NE(refused({far}).find("line 6: the row names no cut"), std::string::npos);
  far.at = base::Point{0.0, -5.0};
  EXPECT_NE(refused({far}).find("line 6: no cut is near this place; the nearest, b, is 14."),
            std::string::npos)
      << refused({far});
  EXPECT_NE(refused({row("a", 2, FieldValue::Grade, 0.01), row("a", 3, FieldValue::Grade, 0.01)})
                .find("line 3: the grade of a is there twice; also in field.csv, line 2"),
            std::string::npos);
  EXPECT_NE(refused({row("a", 2, FieldValue::RimLevel, 100.0), row("a", 3, FieldValue::RimBelowCurb, 0.1)})
                .find("is there twice"),
            std::string::npos);
  EXPECT_NE(refused({row("drain", 2, FieldValue::Infiltration, 1e-5)})
                .find("drain is a drain inlet and has no "
                      "infiltration"),
            std::string::npos);
  EXPECT_NE(refused({row("a", 2, FieldValue::GutterLevel, 328.0)}).find("off the elevation model's gutter"),
            std::string::npos);
}

TEST(FieldValues, RowsThatSayNothingAreLeftOut) {
  const Preparation p = with({row("a", 2), row("", 3)});
  EXPECT_TRUE(p.field.overrides.empty());
  EXPECT_TRUE(p.field.water.empty());
  EXPECT_NE(refused({row("nobody", 2)}), "was taken");  // a name that is wrong is told all the same
}

TEST(FieldValues, TheOrderOfTheRowsDoesNotMatter) {
  std::vector<FieldRow> rows = {
      row("b", 2, FieldValue::Grade, 0.012), row("a", 3, FieldValue::CrossSlope, 0.03),
      row("a", 4, FieldValue::Grade, 0.014), water("b", 5, false, "3 May"), water("a", 6, true, "3 May")};
  const FieldFindings one = with(rows).field;
  std::reverse(rows.begin(), rows.end());
  const FieldFindings other = with(rows).field;
  ASSERT_EQ(one.overrides.size(), 3U);
  ASSERT_EQ(one.overrides.size(), other.overrides.size());
  for (std::size_t i = 0; i < one.overrides.size(); ++i) {
    EXPECT_EQ(one.overrides[i].node, other.overrides[i].node);
    EXPECT_EQ(one.overrides[i].what, other.overrides[i].what);
    EXPECT_EQ(one.overrides[i].by, other.overrides[i].by);
  }
  EXPECT_EQ(one.water[0].by, other.water[0].by);
}

TEST(FieldValues, NoWaterWhereMuchShouldComeIsFound) {
  // Above "a" lie 60 m of street and lots: (5 + 20) m × 60 m = 1,500 m2; above "b" 2,250 m2.
  const Preparation p = with({water("b", 2, false, "14 July"), water("b", 3, false, "2 August"),
                              water("a", 4, false, ""), water("drain", 5, true, "14 July")});
  ASSERT_EQ(p.field.dry.size(), 2U);
  EXPECT_EQ(p.field.dry[0].node, node_of(p.model.network, "b"));
  EXPECT_EQ(p.field.dry[0].dates, "14 July, 2 August");
  EXPECT_EQ(p.field.dry[0].by, "field.csv, line 2; field.csv, line 3");
  EXPECT_NEAR(p.field.dry[0].area_m2, 2250.0, 100.0);
  EXPECT_NEAR(p.field.dry[1].area_m2, 1500.0, 100.0);
}

TEST(FieldValues, WaterOnAnotherDayOrALittleAreaIsNoContradiction) {
  EXPECT_TRUE(with({water("b", 2, false, "14 July"), water("b", 3, true, "2 August")}).field.dry.empty());
  StudyInputs inputs = two_cuts();
  inputs.field = {water("a", 2, false, "")};
  Settings settings = usual_settings();
  settings.street.dry_area_m2 = 3000.0;
  EXPECT_TRUE(prepare(inputs, settings, {}).field.dry.empty());
}

TEST(FieldValues, LevelsThatWereShotAreKeptWithTheirErrors) {
  const Preparation plain = with({});
  const Preparation made =
      with({level("a", FieldValue::RimBelowCurb, 0.02, 0.008), level("a", FieldValue::DoorwayAboveCurb, 0.30),
            level("a", FieldValue::CurbHeight, 0.14)});
  const std::int32_t a = node_of(made.model.network, "a");
  const auto n = static_cast<std::size_t>(a);
  ASSERT_EQ(made.field.levels.size(), 3U);
  ASSERT_NE(made.field.level(a, FieldValue::RimBelowCurb), nullptr);
  EXPECT_EQ(made.field.level(a, FieldValue::RimBelowCurb)->error_m, 0.008);
  EXPECT_EQ(made.field.level(a, FieldValue::DoorwayAboveCurb)->error_m, kMeasuredError_m);
  EXPECT_EQ(made.field.level(a, FieldValue::DoorwayAboveCurb)->value_m, 0.30);
  EXPECT_EQ(made.field.level(a, FieldValue::GutterLevel), nullptr);
  EXPECT_NEAR(made.model.params[n].basin.rim_m, made.model.network.gutter_level_m[n] + 0.14 - 0.02, 1e-12);
  EXPECT_EQ(made.model.network.gutter_level_m[n], plain.model.network.gutter_level_m[n]);
  EXPECT_EQ(made.field.overrides.size(), 2U) << "a doorway replaces nothing of the model";
}

TEST(FieldValues, ADrainInletHasNoDoorway) {
  EXPECT_NE(refused({level("drain", FieldValue::DoorwayAboveCurb, 0.3)}).find("drain inlet"),
            std::string::npos);
}

}  // namespace
}  // namespace curbshed::testing
