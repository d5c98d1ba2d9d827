// Hand checks as a person asks them, through the program.
#include "curbshed/cli/desk_command.hpp"

#include "support/program.hpp"
#include "support/temp_folder.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace curbshed::cli {
namespace {

nlohmann::json asked(const std::string& words) {
  const testing::TempFolder folder;
  const testing::Ran ran = testing::run_program(folder, "desk " + words + " --json");
  EXPECT_EQ(ran.exit_code, 0) << ran.err;
  return ran.exit_code == 0 ? nlohmann::json::parse(ran.out) : nlohmann::json();
}

std::vector<std::string> keys_of(const nlohmann::json& json) {
  std::vector<std::string> keys;
  for (const auto& item : json.items()) keys.push_back(item.key());
  return keys;
}

std::string error_of(const std::string& words, int exit_code) {
  const testing::TempFolder folder;
  const testing::Ran ran = testing::run_program(folder, "desk " + words);
  EXPECT_EQ(ran.exit_code, exit_code) << words << "\n" << ran.err;
  EXPECT_EQ(ran.out, "");
  return ran.err;
}

TEST(Desk, GutterOfThePublishedExample) {
  // HEC-22, 3rd ed., example 4-1 (1): S 0.010, Sx 0.020, n 0.016, Q 1.8 ft3/s: T 9.0 ft (2.7 m).
  const nlohmann::json json = asked("gutter --flow 1.8ft3/s --grade 1% --cross-slope 2% --roughness 0.016");
  EXPECT_EQ(keys_of(json), (std::vector<std::string>{"depth_m", "flow_m3_s", "gutter_flow_share", "sources",
                                                     "spread_m", "velocity_m_s"}));
  EXPECT_NEAR(json["spread_m"].get<double>() / 0.3048, 9.0, 0.05);
  const nlohmann::json back = asked("gutter --spread 9ft --grade 0.01 --cross-slope 0.02 --roughness 0.016");
  EXPECT_NEAR(back["flow_m3_s"].get<double>() / 0.028316846592, 1.8, 0.05);
}

TEST(Desk, OpeningAndARowOfThem) {
  const std::string words =
      "opening --flow 0.05m3/s --grade 1% --cross-slope 2% --roughness 0.016 --length 3m";
  const nlohmann::json one = asked(words);
  EXPECT_NEAR(one["full_interception_length_m"].get<double>(), 7.29, 0.005);
  EXPECT_NEAR(one["captured_m3_s"].get<double>(), 0.031, 0.0005);
  const nlohmann::json three = asked(words + " --cuts 3");
  ASSERT_EQ(three["captured_m3_s"].size(), 3U);
  double sum = three["bypass_m3_s"].get<double>();
  for (const nlohmann::json& part : three["captured_m3_s"]) sum += part.get<double>();
  EXPECT_NEAR(sum, 0.05, 1e-12);
  EXPECT_NEAR(three["captured_m3_s"][0].get<double>(), one["captured_m3_s"].get<double>(), 1e-15);
}

TEST(Desk, SagSaysHowItWorks) {
  EXPECT_EQ(asked("sag --depth 5cm --length 2.5m --height 0.13m")["regime"], "weir");
  EXPECT_EQ(asked("sag --depth 25cm --length 2.5m --height 0.13m")["regime"], "orifice");
  EXPECT_EQ(asked("sag --depth 2in --diameter 4in")["regime"], "weir");
  const nlohmann::json full = asked("sag --depth 8in --diameter 4in --clogging 10%");
  EXPECT_EQ(full["regime"], "orifice");
  // C A (2 g (d - D/2))^(1/2), 10 % clogged.
  EXPECT_NEAR(full["captured_m3_s"].get<double>(),
              0.9 * 0.6 * 0.25 * 3.14159265358979 * 0.1016 * 0.1016 * std::sqrt(2.0 * 9.80665 * 0.1524),
              3e-5);
}

TEST(Desk, RunoffOfThePublishedTable) {
  // TR-55, table 2-1: curve number 80, rain 3.0 in: 1.25 in.
  EXPECT_NEAR(asked("runoff --rain 3in --curve-number 80")["runoff_mm"].get<double>() / 25.4, 1.25, 0.005);
  EXPECT_LT(asked("runoff --rain 3in --curve-number 80 --abstraction-ratio 0.05")["runoff_mm"].get<double>(),
            1.25 * 25.4);
}

TEST(Desk, BasinByHand) {
  // 8 ft × 5 ft × 6 in, 3 : 1: floor 5 ft × 2 ft, 141/12 = 11.75 ft3; 0.25 in/h: 11.75/(10/48) = 56.4 h,
  // 6/0.25 = 24 h.
  const nlohmann::json json =
      asked("basin --length 8ft --width 5ft --depth 6in --side-slope 3 --conductivity 0.5in/h --safety 2");
  EXPECT_NEAR(json["storage_m3"].get<double>() / 0.028316846592, 11.75, 1e-9);
  EXPECT_NEAR(json["drain_time_floor_h"].get<double>(), 56.4, 1e-9);
  EXPECT_NEAR(json["drain_time_wetted_h"].get<double>(), 24.0, 1e-9);
}

TEST(Desk, HarvestOfThePublishedExample) {
  // 2,500 ft2 of roof, 36 in, 0.90: 50,490 gal with 7.48 gal a ft3 (a published worked example).
  EXPECT_NEAR(
      asked("harvest --roof 2500ft2 --rain 36in --coefficient 0.9")["harvest_l"].get<double>() / 3.785411784,
      50490, 15.0);
}

TEST(Desk, InfiltrateInItsThreeCases) {
  // Chow, Maidment & Mays 1988, examples 4.3.1 and 4.4.1 (from memory): F 3.17 cm, f 1.81 cm/h after 1 h; tp
  // 0.17 h.
  const std::string soil = "infiltrate --suction 16.7cm --deficit 0.34 --conductivity 6.5mm/h --time 1h";
  const nlohmann::json ponded = asked(soil);
  EXPECT_EQ(keys_of(ponded),
            (std::vector<std::string>{"infiltrated_mm", "ponding_time_s", "rate_mm_h", "sources"}));
  EXPECT_EQ(ponded["ponding_time_s"], 0.0);
  EXPECT_NEAR(ponded["infiltrated_mm"].get<double>(), 31.7, 0.05);
  EXPECT_NEAR(ponded["rate_mm_h"].get<double>(), 18.1, 0.1);
  const nlohmann::json rain = asked(soil + " --rain-rate 50mm/h");
  EXPECT_NEAR(rain["ponding_time_s"].get<double>() / 3600.0, 0.17, 0.005);
  const nlohmann::json drizzle = asked(soil + " --rain-rate '5 mm/h'");
  EXPECT_TRUE(drizzle["ponding_time_s"].is_null());
  EXPECT_NEAR(drizzle["infiltrated_mm"].get<double>(), 5.0, 1e-9);
}

TEST(Desk, HortonOfThePublishedExample) {
  // Bedient, Huber & Vieux, 5th ed., example 2-10: 0.36 in/h after 6 h.
  const nlohmann::json json =
      asked("horton --initial-rate 1.5in/h --final-rate 0.2in/h --decay '0.35 1/h' --time 6h");
  EXPECT_NEAR(json["rate_mm_h"].get<double>() / 25.4, 0.36, 0.005);
}

TEST(Desk, RoutePrintsTheLinearReservoir) {
  // V. M. Ponce, Engineering Hydrology, ch. 8: K 2 h, dt 1 h.
  const testing::TempFolder folder;
  folder.write("in.csv", "time_h,inflow_m3_s\n0,100\n1,150\n2,250\n3,400\n4,800\n5,1000\n6,900\n7,700\n");
  folder.write("pond.csv", "stage_m,discharge_m3_s,storage_m3\n0,0,0\n10,2000,14400000\n");
  const std::string words = "desk route --inflow in.csv --stage pond.csv --step 1h --start-storage 720000m3";
  const testing::Ran text = testing::run_program(folder, words);
  EXPECT_EQ(text.exit_code, 0) << text.err;
  EXPECT_EQ(text.out.substr(0, text.out.find('\n')), "time_s,inflow_m3_s,outflow_m3_s,storage_m3");
  EXPECT_NE(text.out.find("\n25200,700,757.641,5455015\n"), std::string::npos) << text.out;
  const nlohmann::json json = nlohmann::json::parse(testing::run_program(folder, words + " --json").out);
  EXPECT_EQ(keys_of(json),
            (std::vector<std::string>{"inflow_m3_s", "outflow_m3_s", "sources", "storage_m3", "time_s"}));
  EXPECT_NEAR(json["outflow_m3_s"][6].get<double>(), 729.402, 0.0005);
}

TEST(Desk, TravelOfThePublishedExamples) {
  // TR-55, example 3-1: sheet 0.30 h, shallow 0.24 h.
  EXPECT_NEAR(
      asked(
          "travel --kind sheet --length 100ft --grade 1% --roughness 0.24 --day-rain 3.6in")["travel_time_s"]
              .get<double>() /
          3600.0,
      0.30, 0.005);
  const nlohmann::json shallow = asked("travel --kind shallow --length 1400ft --grade 0.01 --cover unpaved");
  EXPECT_NEAR(shallow["travel_time_s"].get<double>() / 3600.0, 0.24, 0.005);
  EXPECT_NEAR(shallow["velocity_m_s"].get<double>() / 0.3048, 1.6, 0.05);
  // HEC-22, 3rd ed., table 4-4: T1/T2 0 → Ta/T2 0.65.
  const nlohmann::json gutter = asked(
      "travel --kind gutter --length 100m --grade 1% --cross-slope 2% --roughness 0.016 --flow 0.05m3/s");
  EXPECT_NEAR(gutter["velocity_m_s"].get<double>() * gutter["travel_time_s"].get<double>(), 100.0, 1e-9);
  EXPECT_NE(error_of("travel --kind sheet --length 30m --grade 1% --roughness 0.1", 1).find("--excess-rate"),
            std::string::npos);
  EXPECT_NE(error_of("travel --kind gutter --length 30m --grade 1%", 1).find("--cross-slope"),
            std::string::npos);
  EXPECT_NE(error_of("travel --kind river --length 30m --grade 1%", 1).find("sheet, shallow, gutter"),
            std::string::npos);
}

TEST(Desk, StormsInTheirThreeShapes) {
  const nlohmann::json day = asked("storm --kind day --shape II --depth 100mm --block 1h");
  ASSERT_EQ(day["depth_mm"].size(), 24U);
  EXPECT_NEAR(day["depth_mm"][11].get<double>(), 42.8, 0.05);
  const testing::TempFolder folder;
  folder.write("depths.csv", "duration_min,2yr_mm,10yr_in_h\n5,7,5\n15,14,3\n60,22,1.4\n");
  for (const char* kind : {"alternating", "chicago"}) {
    const testing::Ran ran = testing::run_program(
        folder,
        std::string("desk storm --json --table depths.csv --column 2yr --duration 1h --kind ") + kind);
    ASSERT_EQ(ran.exit_code, 0) << ran.err;
    const nlohmann::json json = nlohmann::json::parse(ran.out);
    double sum = 0.0;
    for (const nlohmann::json& depth : json["depth_mm"]) sum += depth.get<double>();
    EXPECT_NEAR(sum, 22.0, 1e-9) << kind;
  }
  EXPECT_NE(error_of("storm --kind day --depth 100mm", 1).find("--shape"), std::string::npos);
  EXPECT_NE(error_of("storm --kind chicago", 1).find("--table"), std::string::npos);
  EXPECT_NE(error_of("storm --kind chicago --duration 1h --table none.csv", 1).find("none.csv"),
            std::string::npos);
}

TEST(Desk, PeakCompositeAndSoilOfPublishedCases) {
  // Bedient, Huber & Vieux, 5th ed., example 6-6: 4 ac, C 0.95, 6.4 in/h: 24.3 ft3/s.
  EXPECT_NEAR(asked("peak --method rational --area 4ac --coefficient 0.95 --rain-rate 6.4in/h")["flow_m3_s"]
                      .get<double>() /
                  0.028316846592,
              24.3, 0.25);
  // TR-55, example 4-1: 345 ft3/s.
  EXPECT_NEAR(asked("peak --method graphical --area 249.6ac --shape II --curve-number 75 --rain 6in "
                    "--concentration 1.53h")["flow_m3_s"]
                      .get<double>() /
                  0.028316846592,
              345.0, 3.45);
  // TR-55, fig. 2-4: 78.5.
  EXPECT_NEAR(
      asked("composite --curve-number 74 --impervious 25% --unconnected 0.5")["curve_number"].get<double>(),
      78.5, 1e-9);
  EXPECT_EQ(asked("soil --conductivity 5um/s")["soil_group"], "B");
  EXPECT_EQ(asked("soil --conductivity 5um/s --water-table 50cm")["soil_group"], "B/D");
}

TEST(Desk, PipeThatDipsNeedsItsFall) {
  const std::string words =
      "pipe --flow 1L/s --diameter 50mm --length 12m --roughness 0.011 --local-losses 2.5 --drop ";
  EXPECT_EQ(asked(words + "10cm")["enough"], "no");
  EXPECT_EQ(asked(words + "20cm")["enough"], "yes");
  EXPECT_EQ(asked(words + "-20cm")["enough"], "no");
  const testing::TempFolder folder;
  const testing::Ran ran = testing::run_program(folder, "desk " + words + "10cm");
  EXPECT_NE(ran.out.find("freeze"), std::string::npos);
  EXPECT_NE(ran.out.find("drain point"), std::string::npos);
}

TEST(Desk, SmallVolumesReadInLitresCubicFeetAndGallons) {
  const testing::TempFolder folder;
  const testing::Ran ran = testing::run_program(
      folder,
      "desk basin --length 8ft --width 5ft --depth 6in --side-slope 3 --conductivity 0.5in/h --safety 2");
  EXPECT_NE(ran.out.find("333 L (11.75 ft3, 87.9 gal)"), std::string::npos) << ran.out;
}

TEST(Desk, TextHasBothUnitsTheWorkingAndTheSource) {
  const testing::TempFolder folder;
  const testing::Ran ran = testing::run_program(
      folder, "desk gutter --flow 1.8ft3/s --grade 1% --cross-slope 2% --roughness 0.016");
  for (const char* part : {"m3/s (1.80 ft3/s)", "Working:", "S^(1/2)", "HEC-22"}) {
    EXPECT_NE(ran.out.find(part), std::string::npos) << part << "\n" << ran.out;
  }
}

TEST(Desk, NonsenseIsRefusedWithItsRange) {
  const std::string rest = " --grade 1% --cross-slope 2% --roughness 0.016";
  for (const char* flow : {"1.8", "nan", "inf", "-1ft3/s", "1e9ft3/s", "1.8ft", "", "ft3/s", "1,8ft3/s"}) {
    const std::string error = error_of(std::string("gutter --flow '") + flow + "'" + rest, 1);
    EXPECT_NE(error.find("--flow"), std::string::npos) << flow << ": " << error;
    EXPECT_NE(error.find("0 m3/s to 20 m3/s"), std::string::npos) << flow << ": " << error;
  }
  EXPECT_NE(error_of("gutter" + rest, 1).find("one of --flow and --spread"), std::string::npos);
  EXPECT_NE(error_of("basin --length 8ft", 1).find("--width"), std::string::npos);
  EXPECT_NE(error_of("basin --length 2ft --width 2ft --depth 6in --side-slope 3 --conductivity 1in/h", 1)
                .find("floor"),
            std::string::npos);
  error_of("gutters", 2);
  error_of("gutter --flood 3m3/s", 2);
}

TEST(Desk, EveryCheckHasHelpThatNamesItsFlags) {
  for (const DeskCheck& check : desk_checks()) {
    const std::string help = desk_help(check);
    for (const DeskFlag& flag : check.flags)
      EXPECT_NE(help.find("--" + std::string(flag.name)), std::string::npos);
    EXPECT_NE(desk_help().find(std::string(check.name)), std::string::npos);
  }
}

}  // namespace
}  // namespace curbshed::cli
