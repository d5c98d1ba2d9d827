#include "curbshed/street/contribution.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>
#include <limits>

namespace curbshed::street {

namespace {

// node (29 bits) · loss class (16) · time bin (16) · join part (3): sorts as the entries do.
constexpr int kJoinBits = 3;
constexpr int kTimeBits = 16;
constexpr int kClassBits = 16;
constexpr std::int64_t kMostNodes = std::int64_t{1} << 29;
static_assert(kJoinParts == 1 << kJoinBits);

struct Counted {
  std::uint64_t key = 0;
  std::int64_t cells = 0;
};

struct CountedOwned {
  std::uint64_t key = 0;
  std::int32_t owner = -1;  // tank or basin
  std::int64_t cells = 0;
};

void add_owned(const CountedOwned& one, std::vector<CountedOwned>& list) {
  if (!list.empty() && list.back().key == one.key && list.back().owner == one.owner) {
    list.back().cells += one.cells;
  } else {
    list.push_back(one);
  }
}

/// Adds up equal keys of a sorted list in place.
void fold(std::vector<Counted>& list) {
  std::size_t kept = 0;
  for (std::size_t i = 0; i < list.size(); ++i) {
    if (kept > 0 && list[kept - 1].key == list[i].key) {
      list[kept - 1].cells += list[i].cells;
    } else {
      list[kept++] = list[i];
    }
  }
  list.resize(kept);
}

void sort_and_fold(std::vector<Counted>& list) {
  std::sort(list.begin(), list.end(), [](const Counted& a, const Counted& b) { return a.key < b.key; });
  fold(list);
}

std::vector<std::int64_t> longest_ways(const terrain::Grid<std::int32_t>& first_receiver,
                                       const terrain::Grid<std::int64_t>& gutter_1024, std::int64_t nodes) {
  std::vector<std::int64_t> longest(static_cast<std::size_t>(nodes), 0);
  for (std::int64_t cell = 0; cell < first_receiver.cells(); ++cell) {
    const std::int32_t node = first_receiver[cell];
    if (node < 0) continue;
    base::ensure(node < nodes, "contributions: first receivers are nodes");
    longest[static_cast<std::size_t>(node)] =
        std::max(longest[static_cast<std::size_t>(node)], gutter_1024[cell]);
  }
  return longest;
}

std::size_t node_of(std::uint64_t key) {
  return static_cast<std::size_t>(key >> (kClassBits + kTimeBits + kJoinBits));
}

/// By node, owner, class, time and join.
template <class Entry>
void add_entries(const std::vector<std::vector<CountedOwned>>& parts, std::int64_t nodes,
                 std::int32_t Entry::*owner, std::vector<std::int64_t>& first, std::vector<Entry>& entries) {
  std::vector<CountedOwned> all;
  for (const std::vector<CountedOwned>& part : parts) all.insert(all.end(), part.begin(), part.end());
  std::sort(all.begin(), all.end(), [](const CountedOwned& a, const CountedOwned& b) {
    if (node_of(a.key) != node_of(b.key)) return node_of(a.key) < node_of(b.key);
    return a.owner != b.owner ? a.owner < b.owner : a.key < b.key;
  });
  std::vector<CountedOwned> folded;
  for (const CountedOwned& one : all) add_owned(one, folded);
  first.assign(static_cast<std::size_t>(nodes) + 1, 0);
  for (const CountedOwned& one : folded) {
    ++first[node_of(one.key) + 1];
    Entry entry;
    entry.*owner = one.owner;
    entry.loss_class = static_cast<std::uint16_t>((one.key >> (kTimeBits + kJoinBits)) & 0xFFFFU);
    entry.time_bin = static_cast<std::uint16_t>((one.key >> kJoinBits) & 0xFFFFU);
    entry.join_part = static_cast<std::uint8_t>(one.key & 0x7U);
    entry.cells = one.cells;
    entries.push_back(entry);
  }
  for (std::size_t n = 0; n + 1 < first.size(); ++n) first[n + 1] += first[n];
}

Contribution as_table(const std::vector<Counted>& list, std::int64_t nodes) {
  Contribution out;
  out.first.assign(static_cast<std::size_t>(nodes) + 1, 0);
  out.entries.reserve(list.size());
  for (const Counted& c : list) {
    const std::size_t node = node_of(c.key);
    ++out.first[node + 1];
    ContributionEntry entry;
    entry.loss_class = static_cast<std::uint16_t>((c.key >> (kTimeBits + kJoinBits)) & 0xFFFFU);
    entry.time_bin = static_cast<std::uint16_t>((c.key >> kJoinBits) & 0xFFFFU);
    entry.join_part = static_cast<std::uint8_t>(c.key & 0x7U);
    entry.cells = c.cells;
    out.entries.push_back(entry);
  }
  for (std::size_t n = 0; n < out.first.size() - 1; ++n) out.first[n + 1] += out.first[n];
  return out;
}

}  // namespace

Contribution contributions(const terrain::GridFrame& frame, const terrain::Grid<std::int32_t>& first_receiver,
                           const terrain::Grid<std::uint16_t>& loss_class,
                           const terrain::Grid<std::int64_t>& travel_1024,
                           const terrain::Grid<std::int64_t>& gutter_1024, std::int64_t nodes, double bin_s,
                           base::Workers workers, const terrain::Grid<std::int32_t>& tank,
                           const std::vector<CellUnder>& under) {
  const std::int64_t count = frame.cells();
  base::ensure(first_receiver.cells() == count && loss_class.cells() == count &&
                   travel_1024.cells() == count && gutter_1024.cells() == count &&
                   (tank.empty() || tank.cells() == count),
               "contributions: grids are of one size");
  base::ensure(nodes >= 0 && nodes < kMostNodes && bin_s > 0.0,
               "contributions: nodes and time bin are in range");
  const std::vector<std::int64_t> longest = longest_ways(first_receiver, gutter_1024, nodes);
  const double bin_1024 = bin_s * 1024.0;
  constexpr std::int64_t kLastBin = std::numeric_limits<std::uint16_t>::max();
  const auto key_of = [&](std::int64_t cell, std::int32_t node) {
    const double bins = static_cast<double>(travel_1024[cell]) / bin_1024;
    const std::int64_t bin =
        bins >= static_cast<double>(kLastBin) ? kLastBin : static_cast<std::int64_t>(bins);
    const std::int64_t most = longest[static_cast<std::size_t>(node)];
    const std::int64_t part =
        most > 0 ? std::min<std::int64_t>(kJoinParts - 1, gutter_1024[cell] * kJoinParts / most) : 0;
    std::uint64_t key = static_cast<std::uint64_t>(node);
    key = (key << kClassBits) | loss_class[cell];
    key = (key << kTimeBits) | static_cast<std::uint64_t>(bin);
    return (key << kJoinBits) | static_cast<std::uint64_t>(part);
  };
  constexpr std::size_t kFoldAt = std::size_t{1} << 20;
  constexpr std::int64_t kStripes = 16;
  std::vector<std::vector<Counted>> parts(static_cast<std::size_t>(kStripes));
  std::vector<std::vector<CountedOwned>> roof_parts(static_cast<std::size_t>(kStripes));
  std::vector<std::vector<CountedOwned>> place_parts(static_cast<std::size_t>(kStripes));
  base::parallel_stripes(kStripes, kStripes, workers, [&](std::int64_t stripe, std::int64_t) {
    std::vector<Counted>& list = parts[static_cast<std::size_t>(stripe)];
    std::size_t folded = 0;
    const std::int64_t end = frame.rows * (stripe + 1) / kStripes * frame.cols;
    const std::int64_t begin = frame.rows * stripe / kStripes * frame.cols;
    auto next = std::lower_bound(under.begin(), under.end(), begin,
                                 [](const CellUnder& one, std::int64_t cell) { return one.cell < cell; });
    for (std::int64_t cell = begin; cell < end; ++cell) {
      std::int32_t basin = -1;
      if (next != under.end() && next->cell == cell) {
        basin = next->basin;
        ++next;
      }
      const std::int32_t node = first_receiver[cell];
      if (node < 0) continue;
      const std::uint64_t key = key_of(cell, node);
      if (!tank.empty() && tank[cell] >= 0) {
        add_owned({key, tank[cell], 1}, roof_parts[static_cast<std::size_t>(stripe)]);
        continue;
      }
      if (basin >= 0) {
        add_owned({key, basin, 1}, place_parts[static_cast<std::size_t>(stripe)]);
        continue;
      }
      if (list.size() > folded && list.back().key == key) {
        ++list.back().cells;
        continue;
      }
      list.push_back({key, 1});
      if (list.size() < 2 * folded + kFoldAt) continue;
      sort_and_fold(list);
      folded = list.size();
    }
    sort_and_fold(list);
  });
  std::vector<Counted> list;
  for (std::vector<Counted>& part : parts) {
    list.insert(list.end(), part.begin(), part.end());
    part = {};
  }
  sort_and_fold(list);

  Contribution out = as_table(list, nodes);
  if (!tank.empty()) add_entries(roof_parts, nodes, &RoofEntry::tank, out.first_roof, out.roofs);
  if (!under.empty()) add_entries(place_parts, nodes, &PlaceEntry::basin, out.first_place, out.places);
  out.cell_area_m2 = frame.cell_area_m2();
  out.bin_s = bin_s;
  for (const std::int64_t most : longest) out.join_length_m.push_back(static_cast<double>(most) / 1024.0);
  return out;
}

std::vector<std::int64_t> cells_of_nodes(const Contribution& contribution) {
  std::vector<std::int64_t> cells(contribution.first.empty() ? 0 : contribution.first.size() - 1, 0);
  for (std::size_t n = 0; n < cells.size(); ++n) {
    contribution.each_of(
        n, [&](std::uint16_t, std::uint16_t, std::uint8_t, std::int64_t count) { cells[n] += count; });
  }
  return cells;
}

}  // namespace curbshed::street
