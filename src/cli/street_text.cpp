#include "curbshed/cli/street_text.hpp"

#include "curbshed/terrain/shown_curbs.hpp"
#include "curbshed/terrain/survey_seams.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include <fmt/format.h>

namespace curbshed::cli {
namespace {

using report::Units;
using street::StreetBlock;
using street::WidthFrom;

constexpr std::size_t kMostStreets = 30;
constexpr double kFoot_m = 0.3048;

std::string length_text(double m, Units units) {
  return units == Units::Us ? fmt::format("{:.1f} ft", m / kFoot_m) : fmt::format("{:.2f} m", m);
}
std::string way_text(double m, Units units) {
  return units == Units::Us ? fmt::format("{:.0f} ft", m / kFoot_m) : fmt::format("{:.0f} m", m);
}

const char* from_words(WidthFrom from) {
  switch (from) {
    case WidthFrom::Line:
      return "from its line";
    case WidthFrom::Ground:
      return "from the ground";
    case WidthFrom::Street:
      return "from the street's other blocks";
    case WidthFrom::Class:
      return "by its class";
  }
  return "";
}

struct StreetSum {
  std::size_t blocks = 0;
  double narrowest_m = 1e9;
  double widest_m = 0.0;
  double error_m = 0.0;
  std::set<WidthFrom> from;
  double shown = 0.0;
  double sections = 0.0;
};

std::string name_of(const StreetBlock& block) {
  return block.street.empty() ? std::string("streets without a name") : block.street;
}

void add_widths(const GatheredInputs& gathered, Units units, std::vector<CheckLine>& lines) {
  std::map<std::string, StreetSum> streets;
  for (const StreetBlock& block : gathered.inputs.blocks) {
    StreetSum& sum = streets[name_of(block)];
    ++sum.blocks;
    sum.narrowest_m = std::min(sum.narrowest_m, block.width_m);
    sum.widest_m = std::max(sum.widest_m, block.width_m);
    sum.error_m = std::max(sum.error_m, block.width_error_m);
    sum.from.insert(block.width_from);
    sum.shown += 0.5 * (block.sides[0].share + block.sides[1].share) * block.sections;
    sum.sections += block.sections;
  }
  std::size_t told = 0;
  for (const auto& [name, sum] : streets) {
    if (++told > kMostStreets) {
      lines.push_back({"", fmt::format("and {} streets more", streets.size() - kMostStreets)});
      break;
    }
    std::string origin;
    for (const WidthFrom from : sum.from) {
      origin += (origin.empty() ? "" : ", ") + std::string(from_words(from));
    }
    const std::string width =
        sum.widest_m - sum.narrowest_m < 0.05
            ? length_text(sum.widest_m, units)
            : fmt::format("{} to {}", length_text(sum.narrowest_m, units), length_text(sum.widest_m, units));
    const std::string shown = sum.sections > 0.0
                                  ? fmt::format("; {:.0f} % of {:.0f} cross-sections show its curbs",
                                                100.0 * sum.shown / sum.sections, sum.sections)
                                  : std::string();
    lines.push_back(
        {told == 1 ? "widths" : "", fmt::format("{}: {} curb to curb, error {} ({}; {} block{}{})", name,
                                                width, length_text(sum.error_m, units), origin, sum.blocks,
                                                sum.blocks == 1 ? "" : "s", shown)});
  }
}

void add_dry_curbs(const GatheredInputs& gathered, std::vector<CheckLine>& lines) {
  std::set<std::string> told;
  for (const StreetBlock& block : gathered.inputs.blocks) {
    for (const bool left : {true, false}) {
      if (block.runs_along(left)) {
        continue;
      }
      const std::string between =
          block.cross_streets[0].empty() || block.cross_streets[1].empty()
              ? std::string()
              : fmt::format(" between {} and {}", block.cross_streets[0], block.cross_streets[1]);
      told.insert(
          fmt::format("{}, {} side{}: water does not run along this curb{}", name_of(block),
                      block.side_names[left ? 0 : 1], between,
                      block.fall == street::PavementFall::Inverted ? " (it runs in the middle)" : ""));
    }
  }
  std::size_t count = 0;
  for (const std::string& line : told) {
    if (++count > kMostStreets) {
      lines.push_back({"", fmt::format("and {} more", told.size() - kMostStreets)});
      return;
    }
    lines.push_back({count == 1 ? "dry curbs" : "", line});
  }
}

void add_shown(const study::Settings& settings, const GatheredInputs& gathered,
               const study::Preparation& preparation, Units units, std::vector<CheckLine>& lines) {
  terrain::CurbSettings curbs;
  curbs.vertical_height_m = settings.street.curb_height_m;
  curbs.rolled_height_m = settings.street.rolled_height_m;
  terrain::ShownCurb sum;
  for (const terrain::ShownCurb& one :
       terrain::shown_curbs(gathered.inputs.ground, gathered.inputs.curbs, preparation.maps.curbs, curbs)) {
    sum.length_m += one.length_m;
    sum.known_m += one.known_m;
    sum.shown_m += one.shown_m;
  }
  if (sum.length_m <= 0.0) {
    return;
  }
  lines.push_back({"curbs in the ground",
                   fmt::format("of {} of curb the ground shows {} ({:.0f} %) as a step of at least half its "
                               "height within {}",
                               way_text(sum.length_m, units), way_text(sum.shown_m, units),
                               100.0 * sum.shown_m / sum.length_m, length_text(1.5, units))});
}

/// Cells within 2 m of a curb: their steps are no seams.
terrain::Grid<std::uint8_t> near_curbs(const GatheredInputs& gathered) {
  constexpr double kNear_m = 2.0;
  const terrain::GridFrame& frame = gathered.inputs.ground.frame;
  terrain::Grid<std::uint8_t> near(frame.rows, frame.cols, 0);
  const auto reach = static_cast<std::int64_t>(std::ceil(kNear_m / frame.cell_m));
  for (const terrain::CurbLine& curb : gathered.inputs.curbs) {
    const double length = base::length_m(curb.line);
    if (curb.line.size() < 2 || !(length < 1e7)) {
      continue;
    }
    for (double along = 0.0; along < length + frame.cell_m; along += frame.cell_m) {
      const base::Point p = base::point_along(curb.line, along);
      const std::int64_t row = frame.row_of(p.y_m);
      const std::int64_t col = frame.col_of(p.x_m);
      for (std::int64_t r = std::max<std::int64_t>(0, row - reach);
           r <= std::min(frame.rows - 1, row + reach); ++r) {
        for (std::int64_t c = std::max<std::int64_t>(0, col - reach);
             c <= std::min(frame.cols - 1, col + reach); ++c) {
          near.at(r, c) = 1;
        }
      }
    }
  }
  return near;
}

void add_seams(const study::Settings& settings, const GatheredInputs& gathered, Units units,
               std::vector<CheckLine>& lines) {
  const double metres = gathered.ground.projection.metres_per_unit;
  const std::vector<terrain::SurveySeam> seams = terrain::survey_seams(
      gathered.inputs.ground, near_curbs(gathered), 2.0 * settings.ground.elevation_error_m);
  if (seams.empty()) {
    lines.push_back(
        {"survey seams", fmt::format("no step of more than {:.0f} cm along a straight row or column "
                                     "of 100 m or more",
                                     200.0 * settings.ground.elevation_error_m)});
  }
  std::size_t count = 0;
  for (const terrain::SurveySeam& seam : seams) {
    if (++count > kMostStreets) {
      lines.push_back({"", fmt::format("and {} more", seams.size() - kMostStreets)});
      return;
    }
    const bool eastward = std::abs(seam.to.x_m - seam.from.x_m) > std::abs(seam.to.y_m - seam.from.y_m);
    const char* higher =
        eastward ? (seam.step_m > 0.0 ? "north" : "south") : (seam.step_m > 0.0 ? "west" : "east");
    lines.push_back(
        {count == 1 ? "survey seams" : "",
         fmt::format(
             "the ground is {:.0f} cm higher {} of a straight line of {}, from {:.0f}, {:.0f} to {:.0f}, "
             "{:.0f}: an edge between surveys, or a long wall; areas across it are doubtful",
             100.0 * std::abs(seam.step_m), higher, way_text(seam.length_m, units), seam.from.x_m / metres,
             seam.from.y_m / metres, seam.to.x_m / metres, seam.to.y_m / metres)});
  }
}

}  // namespace

std::vector<CheckLine> street_lines(const study::Settings& settings, const GatheredInputs& gathered,
                                    const study::Preparation& preparation, Units units) {
  std::vector<CheckLine> lines;
  add_widths(gathered, units, lines);
  add_dry_curbs(gathered, lines);
  add_shown(settings, gathered, preparation, units, lines);
  add_seams(settings, gathered, units, lines);
  return lines;
}

}  // namespace curbshed::cli
