// A run made up by hand: cut K1 → cut K2 → outfall "end"; drain inlet D1; sag S1; the edge of the data.
#pragma once

#include "curbshed/report/facts.hpp"
#include "curbshed/street/place_words.hpp"

#include <string>
#include <vector>

namespace curbshed::testing {

struct SmallFacts {
  study::Settings settings;
  study::StudyInputs inputs;
  study::Preparation preparation;
  std::vector<study::StormComparison> storms;
  report::RunFacts facts;

  enum Node : std::int32_t { kD1, kK1, kK2, kS1, kEnd, kEdge, kNodes };

  SmallFacts() {
    make_settings();
    make_inputs();
    make_network();
    make_contribution();
    make_maps();
    add_storm("common", "common storm: 10 mm in 1 h", 0.010);
    add_storm("two_year", "2-year hour: 22 mm in 1 h", 0.022);
    facts.version = "0.1.0";
    facts.libraries = {{"GDAL", "3.6.2"}};
    facts.settings = &settings;
    facts.inputs = &inputs;
    facts.preparation = &preparation;
    facts.storms = &storms;
    facts.crs_name = "Made-up grid";
    facts.crs_unit = "m";
    facts.height_unit = "m";
    facts.height_evidence = "the study says so";
    facts.files = {
        {"ground.elevation", "elevation.tif", "", std::string(64, 'a'), 12, -1, 0, "Made-up grid"}};
    facts.set_aside = {{"street.curbs", "c9", "the shape is empty"}};
  }
  SmallFacts(const SmallFacts&) = delete;
  SmallFacts& operator=(const SmallFacts&) = delete;

  /// K1 gets 12 m³ and carries 14 m², K2 gets 60 m³ and has room for 28 m².
  static study::YearlyWater year() {
    study::YearlyWater year;
    year.rain_m = 0.2;
    year.reference_et_m = 1.8;
    year.month_m3.resize(kNodes);
    year.year_m3.assign(kNodes, 0.0);
    year.canopy.resize(kNodes);
    year.month_m3[kK1].fill(1.0);
    year.month_m3[kK2].fill(5.0);
    year.year_m3[kK1] = 12.0;
    year.year_m3[kK2] = 60.0;
    year.canopy[kK1] = {1, 28.0, 14.0, 14.0, trees::CanopyLimit::Water};
    year.canopy[kK2] = {1, 28.0, 70.0, 28.0, trees::CanopyLimit::Room};
    return year;
  }

  study::NodeResult& with(std::size_t storm, Node node) { return storms[storm].with_cuts.nodes[node]; }
  study::NodeResult& base(std::size_t storm, Node node) { return storms[storm].base.nodes[node]; }
  /// Flow that leaves a node for all steps, and its peak.
  static void set_leaving(study::StormResult& result, Node node, float m3_s) {
    result.leaving_m3_s[node].assign(4, m3_s);
    result.nodes[node].peak_leaving_m3_s = static_cast<double>(m3_s);
  }

 private:
  void make_settings() {
    settings.file = "/home/someone/study.toml";
    settings.folder = "/home/someone";
    settings.title = "Kiln Street";
    settings.street.curbs.file = "curbs.gpkg";
    settings.basin.infiltration_m_s = 0.025 / 3600.0;
    settings.basin.infiltration_origin = "measured";
    settings.written = {{"basin.opening", "18 in"}, {"ground.elevation", "/home/someone/elevation.tif"}};
    settings.origin = {{"basin.opening", "default"}, {"ground.elevation", "study"}};
  }

  void make_inputs() {
    inputs.ground.frame = {0.0, 10.0, 1.0, 10, 10};
    terrain::CurbLine north{"north", "Kiln Street", "north", {{0.0, 5.0}, {100.0, 5.0}}, {}, {}, {}};
    terrain::CurbLine across{"across", "Lantern Street", "", {{-5.0, -20.0}, {-5.0, 20.0}}, {}, {}, {}};
    inputs.curbs = {north, across};
    for (const char* id : {"D1", "K1", "K2", "end"}) {
      street::Site site;
      site.id = id;
      inputs.sites.push_back(site);
    }
    inputs.overrides.resize(4);
    inputs.overrides[1].words = "by the old kiln";
  }

  void make_network() {
    using street::NodeKind;
    street::Network& n = preparation.model.network;
    n.kind = {NodeKind::Inlet, NodeKind::Cut,     NodeKind::Cut,
              NodeKind::Sag,   NodeKind::Outfall, NodeKind::DataEdge};
    n.id = {"D1", "K1", "K2", "S1", "end", "edge"};
    n.site = {0, 1, 2, -1, 3, -1};
    n.downstream = {kK1, kK2, kEnd, kEnd, -1, -1};
    n.curb = {0, 0, 0, -1, 0, -1};
    n.along_curb_m = {5.0, 19.0, 60.0, 0.0, 99.0, 0.0};
    for (std::int32_t i = 0; i < kNodes; ++i) {
      const auto at = static_cast<std::size_t>(i);
      n.at.push_back({n.along_curb_m[at], 5.0});
      for (std::vector<double>* values :
           {&n.moved_m, &n.reach_length_m, &n.upstream_gutter_m, &n.grade_error, &n.cross_slope_error,
            &n.gutter_level_m, &n.sag_depth_m, &n.sag_volume_m3, &n.sag_bottom_m, &n.sag_spill_m,
            &n.sag_area_m2}) {
        values->push_back(0.0);
      }
      n.grade.push_back(0.01);
      n.cross_slope.push_back(0.02);
      n.curb_height_m.push_back(0.15);
      n.grade_from.push_back(street::ValueFrom::Fitted);
      n.cross_slope_from.push_back(street::ValueFrom::Fitted);
      n.behind.push_back({0.0, 1.0});
      n.edge_cuts_area.push_back(i == kK1 ? 1 : 0);
      n.edge_cuts_above.push_back(i == kK1 || i == kK2 || i == kEnd ? 1 : 0);
      n.in_sag.push_back(-1);
    }
    preparation.model.params.resize(kNodes);
    for (const Node cut : {kK1, kK2}) {
      study::BasinParams& basin = preparation.model.params[cut].basin;
      preparation.model.params[cut].opening_m = 0.4572;
      basin.invert_m = 99.8;
      basin.rim_m = cut == kK1 ? 99.9 : 99.7;
    }
  }

  void make_contribution() {
    street::Contribution& c = preparation.model.contribution;
    c.cell_area_m2 = 2.0;
    c.first = {0};
    for (std::int32_t node = 0; node < kNodes; ++node) {
      c.entries.push_back({0, 0, 0, 10 * (node + 1)});
      c.first.push_back(node + 1);
    }
    c.join_length_m.assign(kNodes, 0.0);
  }

  void make_maps() {
    study::MapProducts& maps = preparation.maps;
    maps.gutters.resize(kNodes);
    maps.gutters[kK1] = {{19.0, 5.0}, {60.0, 5.0}};
    const street::Network& network = preparation.model.network;
    maps.street.faces = street::BlockFaces(inputs.curbs, 1.5);
    maps.street.places.resize(kNodes);
    for (std::size_t n = 0; n < network.size(); ++n) {
      if (network.curb[n] < 0) continue;
      street::SitePlace& place = maps.street.places[n];
      place.place =
          maps.street.faces.place(static_cast<std::size_t>(network.curb[n]), network.along_curb_m[n]);
      place.words_metric = street::place_text(maps.street.faces, place.place, street::TapeUnit::Metre);
      place.words_us = street::place_text(maps.street.faces, place.place, street::TapeUnit::Foot);
      place.own_id = street::place_id(maps.street.faces, place.place);
    }
    maps.basins.resize(kNodes);
    maps.basins[kK1].rings = {{{18.0, 6.0}, {20.0, 6.0}, {20.0, 7.0}, {18.0, 7.0}, {18.0, 6.0}}};
    base::Polygon square;
    square.rings = {{{0.0, 0.0}, {1.0, 0.0}, {1.0, 1.0}, {0.0, 1.0}, {0.0, 0.0}}};
    maps.areas = {{kK1, 20, {square}}};
    maps.street.passed = {{{3.0, 4.0}, 0.02, 0.1, 4.0, 99.5, "surface", "K1"}};
    maps.curbs.set_aside = {1};
    maps.curbs.set_aside_reason = {"pavement on both sides"};
  }

  void add_storm(const std::string& id, const std::string& title, double depth_m) {
    study::StormComparison storm;
    storm.storm.id = id;
    storm.storm.title = title;
    storm.storm.rain_m = {depth_m, 0.0, 0.0, 0.0};
    for (study::StormResult* result : {&storm.base, &storm.with_cuts, &storm.second}) {
      result->storm_id = id;
      result->nodes.resize(kNodes);
      result->leaving_m3_s.resize(kNodes);
      result->node_ledgers.resize(kNodes);
      result->ledger.rain_on_cells_m3 = 8.0;
      result->ledger.left_at_outfalls_m3 = 8.0;
      for (const Node node : {kK1, kK2, kEnd}) {
        result->nodes[node].arriving_m3 = node == kK1 ? 3.0 : 5.0;
        result->nodes[node].passed_on_m3 = result->nodes[node].arriving_m3;
        set_leaving(*result, node, 0.1F);
      }
    }
    for (study::StormResult* result : {&storm.with_cuts, &storm.second}) {
      for (const Node node : {kK1, kK2}) {
        result->nodes[node].captured_m3 = result == &storm.with_cuts ? 1.0 : 0.5;
      }
      set_leaving(*result, kEnd, 0.08F);
    }
    storms.push_back(std::move(storm));
  }
};

}  // namespace curbshed::testing
