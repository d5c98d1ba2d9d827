// What the steps of the banded work share: bands, rows at their rims, notes from one pass to the next.
#pragma once

#include "curbshed/terrain/bands.hpp"

#include <algorithm>
#include <cstddef>
#include <type_traits>
#include <vector>

namespace curbshed::terrain {

/// The raster cut into bands of whole rows.
struct Bands {
  GridFrame frame;
  std::int64_t band_rows = 1;

  std::int64_t count() const { return (frame.rows + band_rows - 1) / band_rows; }
  std::int64_t row0(std::int64_t band) const { return band * band_rows; }
  std::int64_t rows(std::int64_t band) const { return std::min(band_rows, frame.rows - row0(band)); }
  std::int64_t cell0(std::int64_t band) const { return frame.index(row0(band), 0); }
  std::int64_t cells(std::int64_t band) const { return rows(band) * frame.cols; }
  bool first(std::int64_t band) const { return band == 0; }
  bool last(std::int64_t band) const { return band + 1 == count(); }
};

/// One row beside a band; empty beyond the raster.
struct RimRow {
  std::vector<float> height_m;
  std::vector<std::uint8_t> valid;
  std::vector<float> level_m;  ///< empty as long as levels are not known

  bool empty() const { return valid.empty(); }
};

/// Lists kept in a store, one behind the other.
class Notes {
 public:
  struct Place {
    std::int64_t at = 0;
    std::int64_t count = 0;
  };

  explicit Notes(ByteStore& store) : store_(store) {}

  template <class T>
  Place keep(const std::vector<T>& list) {
    static_assert(std::is_trivially_copyable_v<T>);
    const Place place{end_, static_cast<std::int64_t>(list.size())};
    store_.write(place.at, list.data(), bytes<T>(place));
    end_ += bytes<T>(place);
    return place;
  }
  template <class T>
  void change(const Place& place, const std::vector<T>& list) {
    store_.write(place.at, list.data(), bytes<T>(place));
  }
  template <class T>
  std::vector<T> read(const Place& place) {
    std::vector<T> list(static_cast<std::size_t>(place.count));
    store_.read(place.at, list.data(), bytes<T>(place));
    return list;
  }

 private:
  template <class T>
  static std::int64_t bytes(const Place& place) {
    return place.count * static_cast<std::int64_t>(sizeof(T));
  }

  ByteStore& store_;
  std::int64_t end_ = 0;
};

}  // namespace curbshed::terrain
