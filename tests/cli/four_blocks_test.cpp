// The sample, whole and clipped.
#include "curbshed/cli/gather_inputs.hpp"
#include "curbshed/street/place_words.hpp"
#include "curbshed/study/preparation.hpp"
#include "curbshed/study/settings.hpp"
#include "curbshed/study/storm.hpp"
#include "curbshed/study/storms.hpp"

#include <algorithm>
#include <map>
#include <string>

#include <gtest/gtest.h>

namespace curbshed::cli {
namespace {

struct Window {
  std::int64_t row0, col0, rows, cols;
};

template <class T>
terrain::Grid<T> clip(const terrain::Grid<T>& grid, const Window& w) {
  if (grid.empty()) return {};
  terrain::Grid<T> out(w.rows, w.cols);
  for (std::int64_t r = 0; r < w.rows; ++r) {
    for (std::int64_t c = 0; c < w.cols; ++c) out.at(r, c) = grid.at(w.row0 + r, w.col0 + c);
  }
  return out;
}

study::StudyInputs clip(const study::StudyInputs& all, const Window& w) {
  study::StudyInputs out = all;
  terrain::GridFrame& frame = out.ground.frame;
  frame.west_m += static_cast<double>(w.col0) * frame.cell_m;
  frame.north_m -= static_cast<double>(w.row0) * frame.cell_m;
  frame.rows = w.rows;
  frame.cols = w.cols;
  out.ground.height_m = clip(all.ground.height_m, w);
  out.ground.valid = clip(all.ground.valid, w);
  out.pavement = clip(all.pavement, w);
  out.roof = clip(all.roof, w);
  out.loss_class = clip(all.loss_class, w);
  out.sites.clear();
  out.overrides.clear();
  for (std::size_t i = 0; i < all.sites.size(); ++i) {
    if (frame.cell_at(all.sites[i].at) < 0) continue;
    out.sites.push_back(all.sites[i]);
    out.overrides.push_back(all.overrides[i]);
  }
  return out;
}

class FourBlocks : public ::testing::Test {
 protected:
  static void SetUpTestSuite() {
    settings_ =
        study::read_study(std::string(CURBSHED_SOURCE_DIR) + "/sample-rasters/four-blocks/study.toml");
    inputs_ = gather_inputs(settings_, {}).inputs;
    whole_ = study::prepare(inputs_, settings_, {});
  }
  static study::Settings settings_;
  static study::StudyInputs inputs_;
  static study::Preparation whole_;
};
study::Settings FourBlocks::settings_;
study::StudyInputs FourBlocks::inputs_;
study::Preparation FourBlocks::whole_;

/// Marked = area lost, for every receiver of `part`, whose ground holds the cells that `kept` says. How many
/// lost some.
template <class Kept>
int expect_marks(const study::Preparation& part, const study::Preparation& whole, const Kept& kept,
                 const std::string& name) {
  const street::Network& all = whole.model.network;
  const terrain::Grid<std::int32_t>& receiver = whole.maps.street.first_receiver;
  std::map<std::string, std::int64_t> outside;
  for (std::int64_t r = 0; r < receiver.rows(); ++r) {
    for (std::int64_t c = 0; c < receiver.cols(); ++c) {
      const std::int32_t node = receiver.at(r, c);
      if (node >= 0 && !kept(r, c)) ++outside[all.id[static_cast<std::size_t>(node)]];
    }
  }
  const street::Network& net = part.model.network;
  int cut = 0;
  for (std::size_t n = 0; n < net.size(); ++n) {
    if (net.kind[n] == street::NodeKind::DataEdge || net.kind[n] == street::NodeKind::Sag) continue;
    const std::int64_t lost = outside[net.id[n]];
    EXPECT_EQ(net.edge_cuts_area[n] != 0, lost > 0)
        << name << ": " << net.id[n] << " lost " << lost << " cells";
    cut += lost > 0 ? 1 : 0;
  }
  return cut;
}

int clip_and_expect_marks(const study::StudyInputs& inputs, const study::Settings& settings,
                          const study::Preparation& whole, const Window& w, const std::string& name) {
  return expect_marks(
      study::prepare(clip(inputs, w), settings, {}), whole,
      [&](std::int64_t r, std::int64_t c) {
        return r >= w.row0 && r < w.row0 + w.rows && c >= w.col0 && c < w.col0 + w.cols;
      },
      name);
}

TEST_F(FourBlocks, WholeSampleCutsNoArea) {
  const street::Network& net = whole_.model.network;
  for (std::size_t n = 0; n < net.size(); ++n) EXPECT_EQ(net.edge_cuts_area[n], 0) << net.id[n];
}

TEST_F(FourBlocks, ClippedInHalfItMarksExactlyTheReceiversWhoseAreaWasCut) {
  const std::int64_t rows = inputs_.ground.frame.rows;
  const std::int64_t cols = inputs_.ground.frame.cols;
  // East-west along the crown of Lantern Street: its water runs west and south, so only the west half loses
  // some.
  EXPECT_GT(clip_and_expect_marks(inputs_, settings_, whole_, {0, 0, rows, cols / 2}, "west half"), 0);
  EXPECT_EQ(
      clip_and_expect_marks(inputs_, settings_, whole_, {0, cols / 2, rows, cols - cols / 2}, "east half"),
      0);
  // North-south between the crown and the south gutter of Kiln Street.
  const std::int64_t row = rows / 2 - 5;
  EXPECT_EQ(clip_and_expect_marks(inputs_, settings_, whole_, {0, 0, row, cols}, "north half"), 0);
  EXPECT_GT(clip_and_expect_marks(inputs_, settings_, whole_, {row, 0, rows - row, cols}, "south half"), 0);
}

TEST_F(FourBlocks, AGutterWhoseLotsAreAHoleIsMarked) {
  study::StudyInputs holed = inputs_;
  const std::int64_t first = inputs_.ground.frame.rows / 2;  // first row behind the south curb of Kiln Street
  for (std::int64_t cell = first * inputs_.ground.frame.cols; cell < inputs_.ground.frame.cells(); ++cell) {
    holed.ground.valid[cell] = 0;
    holed.ground.height_m[cell] = 0.0F;
  }
  holed.roof = {};
  holed.sites.clear();
  holed.overrides.clear();
  for (std::size_t i = 0; i < inputs_.sites.size(); ++i) {
    // Basins on the south side have no ground left to stand on.
    if (inputs_.sites[i].at.y_m < 3702110.05) continue;
    holed.sites.push_back(inputs_.sites[i]);
    holed.overrides.push_back(inputs_.overrides[i]);
  }
  const int cut = expect_marks(
      study::prepare(holed, settings_, {}), whole_, [&](std::int64_t r, std::int64_t) { return r < first; },
      "holed");
  EXPECT_GT(cut, 0);
}

TEST_F(FourBlocks, CutsBelowTheInletGetWhatItPasses) {
  const street::Network& net = whole_.model.network;
  std::int32_t inlet = -1;
  std::int32_t below = -1;
  for (std::size_t n = 0; n < net.size(); ++n) {
    if (net.id[n] == "kiln-inlet") inlet = static_cast<std::int32_t>(n);
    if (net.id[n] == "kiln-s-3") below = static_cast<std::int32_t>(n);
  }
  ASSERT_GE(inlet, 0);
  EXPECT_EQ(net.downstream[static_cast<std::size_t>(inlet)], below);
}

TEST_F(FourBlocks, EveryCellBelongsToOneReceiver) {
  std::int64_t counted = 0;
  for (const std::int64_t cells : street::cells_of_nodes(whole_.model.contribution)) counted += cells;
  std::int64_t valid = 0;
  for (const std::uint8_t v : inputs_.ground.valid.values()) valid += v;
  EXPECT_EQ(counted, valid);
}

study::StudyInputs with_cut(study::StudyInputs inputs, const std::string& id, base::Point at) {
  street::Site site;
  site.id = id;
  site.at = at;
  inputs.sites.push_back(site);
  inputs.overrides.emplace_back();
  return inputs;
}

std::size_t node_of(const street::Network& net, const std::string& id) {
  return static_cast<std::size_t>(std::find(net.id.begin(), net.id.end(), id) - net.id.begin());
}

TEST_F(FourBlocks, BasinsOnTheSameGroundAreNamed) {
  const study::Preparation p =
      study::prepare(with_cut(inputs_, "twin", {431221.0, 3702120.3}), settings_, {});
  const street::Network& net = p.model.network;
  EXPECT_EQ(p.model.notes.at(base::NoteId::BasinsOverlap).count, 2);
  EXPECT_EQ(p.maps.overlaps[node_of(net, "twin")], static_cast<std::int32_t>(node_of(net, "kiln-n-1")));
  EXPECT_EQ(p.maps.overlaps[node_of(net, "kiln-n-2")], -1);
  EXPECT_FALSE(whole_.model.notes.has(base::NoteId::BasinsOverlap));
}

TEST_F(FourBlocks, ABasinAcrossADrivewayIsSaid) {
  const study::Preparation p =
      study::prepare(with_cut(inputs_, "by-the-apron", {431051.9, 3702120.3}), settings_, {});
  EXPECT_EQ(p.model.notes.at(base::NoteId::BasinAcrossDriveway).first_feature, "by-the-apron");
  EXPECT_FALSE(whole_.model.notes.has(base::NoteId::BasinAcrossDriveway));
}

TEST_F(FourBlocks, ACutInASagSharesTheWaterOfItsPond) {
  const study::Preparation p =
      study::prepare(with_cut(inputs_, "in-the-sag", {431192.0, 3702190.2}), settings_, {});
  const std::size_t cut = node_of(p.model.network, "in-the-sag");
  ASSERT_LT(cut, p.model.network.size());
  ASSERT_GE(p.model.network.in_sag[cut], 0);
  const study::StormComparison storm = study::compare_storm(p.model, study::storms_of(settings_)[2], false);
  const study::NodeResult& in_sag = storm.with_cuts.nodes[cut];
  const study::NodeResult& pond =
      storm.with_cuts.nodes[static_cast<std::size_t>(p.model.network.in_sag[cut])];
  EXPECT_GT(in_sag.captured_m3, 0.0);
  EXPECT_GE(in_sag.arriving_m3, in_sag.captured_m3);
  EXPECT_EQ(in_sag.arriving_m3, pond.arriving_m3);
  EXPECT_GT(in_sag.peak_minute, 0.0);
}

/// A cut where the words lead to.
street::Site cut_by_words(const street::StreetModel& street, const std::string& words,
                          const std::string& id) {
  street::Site site;
  site.id = id;
  site.at = street::find_place(street.faces, street::parse_place(words)).at;
  return site;
}

/// Nodes in groups within which no two stand in the same gutter cell.
std::vector<std::vector<std::size_t>> apart(const study::Preparation& p) {
  std::vector<std::vector<std::size_t>> groups;
  for (std::size_t n = 0; n < p.model.network.size(); ++n) {
    if (p.model.network.kind[n] == street::NodeKind::DataEdge) continue;
    std::size_t g = 0;
    const auto taken = [&](std::size_t other) {
      return p.maps.street.places[other].cell == p.maps.street.places[n].cell;
    };
    while (g < groups.size() && std::any_of(groups[g].begin(), groups[g].end(), taken)) ++g;
    if (g == groups.size()) groups.emplace_back();
    groups[g].push_back(n);
  }
  return groups;
}

TEST_F(FourBlocks, WordsOfEverySiteLeadBackToItsGutterCell) {
  const street::Network& net = whole_.model.network;
  const street::StreetModel& street = whole_.maps.street;
  std::size_t sites = 0;
  for (const bool metric : {true, false}) {
    for (const std::vector<std::size_t>& group : apart(whole_)) {
      study::StudyInputs again = inputs_;
      again.sites.clear();
      again.overrides.clear();
      for (const std::size_t n : group) {
        const street::SitePlace& place = street.places[n];
        const std::string& words = metric ? place.words_metric : place.words_us;
        ASSERT_NE(words, "") << net.id[n];
        again.sites.push_back(cut_by_words(street, words, net.id[n]));
        again.overrides.emplace_back();
      }
      const study::Preparation p = study::prepare(again, settings_, {});
      for (const std::size_t n : group) {
        const std::size_t same = node_of(p.model.network, net.id[n]);
        EXPECT_EQ(p.maps.street.places[same].cell, street.places[n].cell) << net.id[n];
        ++sites;
      }
    }
  }
  EXPECT_EQ(sites, 2 * (net.size() - 1));
}

TEST_F(FourBlocks, PlacesAllAlongTheCurbsAreFoundAgain) {
  const street::BlockFaces& faces = whole_.maps.street.faces;
  EXPECT_EQ(faces.faces().size(), 21U);  // four blocks of four, the square around them, one stub
  for (std::size_t f = 0; f < faces.faces().size(); ++f) {
    for (double along = 0.0; along <= faces.faces()[f].length_m; along += 0.37) {
      const street::FacePlace place = faces.place_at(static_cast<std::int32_t>(f), along);
      const std::string words = street::place_text(faces, place, street::TapeUnit::Metre);
      const street::FoundPlace found = street::find_place(faces, street::parse_place(words));
      EXPECT_EQ(found.face, static_cast<std::int32_t>(f)) << words;
      EXPECT_NEAR(found.along_m, along, 0.0501) << words;
    }
  }
}

TEST_F(FourBlocks, TheTapeStartsWhereTheCurbLinesCross) {
  // The block north of Kiln Street between Lantern and Cistern Street: faces at x = 140 and 240, y = 120.
  const street::BlockFaces& faces = whole_.maps.street.faces;
  const street::FoundPlace found = street::find_place(
      faces, street::parse_place("Kiln Street, north side, 20 m from Lantern Street toward Cistern Street"));
  EXPECT_NEAR(found.at.x_m, 431000.0 + 140.0 + 20.0, 0.02);
  EXPECT_NEAR(found.at.y_m, 3702000.0 + 120.0, 0.01);
}

}  // namespace
}  // namespace curbshed::cli
