// Checks of storms through time.
#include "curbshed/base/error.hpp"
#include "curbshed/cli/desk_command.hpp"
#include "curbshed/study/rain_table.hpp"
#include "curbshed/water/design_storms.hpp"

#include <fmt/format.h>

namespace curbshed::cli {
namespace {

using base::Dimension;
using base::InputError;
using report::DeskAnswer;

DeskAnswer storm_answer(const DeskValues& v) {
  const std::string& kind = v.text("kind");
  const base::Duration block = base::Duration::seconds(v["block"]);
  DeskAnswer answer;
  std::vector<double> blocks;
  if (kind == "day") {
    if (!v.given("shape")) {
      throw InputError({"", "--shape", ""}, "it is missing; a day-long storm needs it", "I, IA, II, III",
                       "take the type of your region");
    }
    const double depth_m = v.needed("depth", "a day-long storm");
    blocks = water::day_blocks_m(water::day_shape(v.text("shape")), base::Length::metres(depth_m), block);
    answer.sources = {std::string(water::kDayShapeSource)};
  } else {
    if (!v.given("table")) {
      throw InputError({"", "--table", ""}, "it is missing; this storm is made from depths by duration",
                       "a CSV with duration_min and 2yr_mm or the like", "add --table FILE");
    }
    const water::CurveStorm storm{.duration = base::Duration::seconds(v.needed("duration", "this storm")),
                                  .block = block,
                                  .peak_at = v["peak-at"]};
    const water::DepthCurve curve =
        study::read_depth_curve(v.text("table"), v.given("column") ? v.text("column") : "");
    const bool chicago = kind == "chicago";
    blocks = chicago ? water::chicago_blocks_m(curve, storm) : water::alternating_blocks_m(curve, storm);
    answer.sources = {std::string(chicago ? water::kChicagoSource : water::kAlternatingSource)};
  }
  std::vector<double> times;
  std::vector<double> rates;
  for (std::size_t k = 0; k < blocks.size(); ++k) {
    times.push_back(block.in_seconds() * static_cast<double>(k + 1));
    rates.push_back(blocks[k] / block.in_seconds());
  }
  answer.series = true;
  answer.values = {{"time_s", "End of the block", Dimension::Duration, times},
                   {"depth_mm", "Rain of the block", Dimension::Length, blocks},
                   {"intensity_mm_h", "Its rate", Dimension::Rate, rates}};
  return answer;
}

}  // namespace

std::vector<DeskCheck> storm_checks() {
  DeskFlag kind{"kind", Dimension::Plain, true, "", "", "", "how the rain is spread", true};
  kind.choices = {"day", "alternating", "chicago"};
  DeskFlag shape{"shape", Dimension::Plain, false, "", "", "", "24-hour shape of the NRCS", true};
  shape.choices = {"I", "IA", "II", "III"};
  return {{"storm",
           "a design storm through time, as CSV",
           {kind,
            shape,
            {"depth", Dimension::Length, false, "0 mm", "2 m", "", "depth of the day's rain (day)"},
            {"table", Dimension::Plain, false, "", "", "",
             "CSV of depths or rates by duration: duration_min,2yr_mm,10yr_mm (alternating, chicago)", true},
            {"column", Dimension::Plain, false, "", "", "", "which column of the table, as 2yr", true},
            {"duration", Dimension::Duration, false, "", "24 h", "",
             "length of the storm (alternating, chicago)"},
            {"block", Dimension::Duration, false, "10 s", "6 h", "5 min", "length of a block"},
            {"peak-at", Dimension::Plain, false, "0", "1", "0.5",
             "share of the storm before its peak (chicago)"}},
           &storm_answer}};
}

}  // namespace curbshed::cli
