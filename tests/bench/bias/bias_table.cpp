// Prints the table of docs/methods.md, "Directions": how far each rule strays. Not a timing.
#include "support/direction_bias.hpp"
#include "support/other_directions.hpp"

#include <array>
#include <cstdio>
#include <string>

namespace curbshed::testing {
namespace {

struct NamedRule {
  const char* name;
  DirectionRule rule;
};

DirectionRule memory_rule(Deviation kind, std::int64_t tile) {
  return [kind, tile](const Ground& ground, const Grid<float>& levels, const Walls& walls,
                      const Grid<std::uint8_t>& drains) {
    return path_memory_directions({ground, levels, walls, drains}, kind, tile);
  };
}

std::vector<NamedRule> rules() {
  return {{"steepest neighbour", steepest_rule},
          {"facet, low-discrepancy sequence (ours)", product_rule},
          {"stochastic, hashed (Fairfield & Leymarie 1991)",
           [](const Ground& ground, const Grid<float>& levels, const Walls& walls,
              const Grid<std::uint8_t>& drains) {
             return hashed_choice_directions({ground, levels, walls, drains});
           }},
          {"path memory, angles (Orlandini et al. 2003)", memory_rule(Deviation::Angular, 0)},
          {"path memory, metres across (the same)", memory_rule(Deviation::Transversal, 0)}};
}

struct Spread {
  double sum = 0.0;
  double worst = 0.0;
  int count = 0;
  void add(double value) { add(value, value); }
  void add(double mean, double top) {
    sum += mean;
    worst = std::max(worst, top);
    ++count;
  }
  double mean() const { return sum / count; }
};

std::string metres(const Spread& s) {
  std::array<char, 64> text{};
  std::snprintf(text.data(), text.size(), "%.2f / %.2f m", s.mean(), s.worst);
  return text.data();
}
std::string percent(double mean, double worst) {
  std::array<char, 64> text{};
  std::snprintf(text.data(), text.size(), "%.1f / %.1f %%", 100.0 * mean, 100.0 * worst);
  return text.data();
}

using Row = std::vector<std::string>;
void print(const Row& row) {
  for (const std::string& cell : row) std::printf("| %s ", cell.c_str());
  std::printf("|\n");
  std::fflush(stdout);
}

/// Bearings every `step` degrees; drift after 40 m (0.5 m cells) and 400 m (1 m cells), lots of 40 m.
void planes(const NamedRule& named, int step, double spread_m, std::vector<Row>& columns) {
  Spread near;
  Spread far;
  Spread area;
  Spread place;
  double far_worst_at = 0.0;
  for (int bearing = 0; bearing < 360; bearing += step) {
    const HeightError error{spread_m, 5.0, static_cast<std::uint64_t>(bearing) + 1};
    const Drift d40 = drift_on_plane(named.rule, bearing, 40.0, 0.5, error);
    near.add(d40.mean_m, d40.worst_m);
    const Drift d400 = drift_on_plane(named.rule, bearing, 400.0, 1.0, error);
    if (d400.worst_m > far.worst) far_worst_at = bearing;
    far.add(d400.mean_m, d400.worst_m);
    const AreaError lot = lot_on_plane(named.rule, bearing, error).error();
    area.add(lot.area);
    place.add(lot.place);
  }
  columns[0].push_back(metres(near));
  columns[1].push_back(metres(far));
  columns[2].push_back(std::to_string(static_cast<int>(far_worst_at)) + "°");
  columns[3].push_back(percent(area.mean(), area.worst));
  columns[4].push_back(percent(place.mean(), place.worst));
}

void round_worlds(const NamedRule& named, double spread_m, std::vector<Row>& columns) {
  const int repeats = spread_m > 0.0 ? 8 : 1;
  Spread out;
  Spread in;
  Spread saddle;
  for (int i = 0; i < repeats; ++i) {
    const HeightError error{spread_m, 5.0, static_cast<std::uint64_t>(i) + 500};
    const PartsError o = cone_error(named.rule, true, error);
    const PartsError c = cone_error(named.rule, false, error);
    const PartsError s = saddle_error(named.rule, error);
    out.add(o.mean, o.worst);
    in.add(c.mean, c.worst);
    saddle.add(s.mean, s.worst);
  }
  columns[5].push_back(percent(out.mean(), out.worst));
  columns[6].push_back(percent(in.mean(), in.worst));
  columns[7].push_back(percent(saddle.mean(), saddle.worst));
}

void streets(const NamedRule& named, double spread_m, std::vector<Row>& columns) {
  Spread area;
  Spread place;
  double own = 0.0;
  double least_own = 1.0;
  int worlds = 0;
  for (const double grade : {0.01, 0.03}) {
    for (const double bearing : {0.0, 10.0, 22.5, 30.0, 45.0, 67.5, 80.0}) {
      DrawnStreet street;
      street.grade = grade;
      street.bearing_deg = bearing;
      const HeightError error{spread_m, 5.0, static_cast<std::uint64_t>(10.0 * bearing + 1000.0 * grade)};
      const StreetBands found = street_bands(named.rule, street, 60.0, error);
      for (const FoundArea& band : found.bands) {
        area.add(band.error().area);
        place.add(band.error().place);
      }
      own += found.on_own_side;
      least_own = std::min(least_own, found.on_own_side);
      ++worlds;
    }
  }
  columns[8].push_back(percent(area.mean(), area.worst));
  columns[9].push_back(percent(place.mean(), place.worst));
  columns[10].push_back(percent(own / worlds, least_own));
}

void bias_table(double spread_m, int bearing_step) {
  const std::string every = std::to_string(bearing_step) + "°";
  Row head = {"mean / worst"};
  std::vector<Row> rows = {{"plane every " + every + ", after 40 m: drift"},
                           {"plane every " + every + ", after 400 m (1 m cells): drift"},
                           {"the worst of these at"},
                           {"plane, lot of 40 m × 40 m: area wrong"},
                           {"the same: in the wrong place"},
                           {"outward cone, 24 sectors: area wrong"},
                           {"inward cone, 24 sectors: area wrong"},
                           {"saddle, 20 stretches: area wrong"},
                           {"streets, 60 m of gutter, lots of 40 m: area wrong"},
                           {"the same: in the wrong place"},
                           {"the same: on its own side of the crown (mean / least)"}};
  for (const NamedRule& named : rules()) {
    head.emplace_back(named.name);
    planes(named, bearing_step, spread_m, rows);
    round_worlds(named, spread_m, rows);
    streets(named, spread_m, rows);
  }
  print(head);
  print(Row(head.size(), "---"));
  for (const Row& row : rows) print(row);
}

/// Cells whose direction differs when the raster is cut into tiles of that size.
void tile_table() {
  DrawnStreet street;
  street.bearing_deg = 22.5;
  DrawnStreetWorld world = draw_street(street);
  add_error(world.ground, {0.03, 5.0, 3});
  const Grid<float> levels = terrain::water_levels(world.ground, world.walls, {}, {});
  const auto differing = [&](const Grid<std::uint8_t>& whole, const Grid<std::uint8_t>& tiled) {
    std::int64_t cells = 0;
    for (std::int64_t cell = 0; cell < whole.cells(); ++cell) cells += whole[cell] != tiled[cell] ? 1 : 0;
    std::array<char, 64> text{};
    std::snprintf(text.data(), text.size(), "%.2f %%",
                  100.0 * static_cast<double>(cells) / static_cast<double>(whole.cells()));
    return std::string(text.data());
  };
  for (const std::int64_t tile : {1, 7, 31, 256}) {
    const terrain::WorkPlan plan{1, tile, tile};
    Row row = {"tiles of " + std::to_string(tile)};
    row.push_back(
        differing(steepest_rule(world.ground, levels, world.walls, {}),
                  terrain::flow_directions_steepest_neighbour(world.ground, levels, world.walls, {}, plan)));
    row.push_back(differing(product_rule(world.ground, levels, world.walls, {}),
                            terrain::flow_directions(world.ground, levels, world.walls, {}, plan)));
    row.emplace_back("0 by its form");
    for (const Deviation kind : {Deviation::Angular, Deviation::Transversal}) {
      row.push_back(differing(memory_rule(kind, 0)(world.ground, levels, world.walls, {}),
                              memory_rule(kind, tile)(world.ground, levels, world.walls, {})));
    }
    print(row);
  }
}

}  // namespace
}  // namespace curbshed::testing

int main() {
  using namespace curbshed::testing;
  std::printf("Exact worlds\n\n");
  bias_table(0.0, 5);
  std::printf("\nWith 3 cm of height error, correlated over 5 m\n\n");
  bias_table(0.03, 15);
  std::printf("\nCells with another direction when cut into tiles (street with height error)\n\n");
  tile_table();
  return 0;
}
