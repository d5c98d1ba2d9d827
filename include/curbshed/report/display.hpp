// Numbers as people read them.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace curbshed::report {

enum class Units : std::uint8_t { Metric, Us };

/// About three figures, thousands grouped: "34.5 m3", "420 L"; "9,110 gal".
std::string show_volume(double m3, Units units);
/// "52 L/s"; "1.8 ft3/s".
std::string show_flow(double m3_s, Units units);
/// Rain: "22 mm"; "0.87 in".
std::string show_rain(double m, Units units);
/// Along the street: "19 m"; "62 ft".
std::string show_distance(double m, Units units);
/// Small lengths: "15 cm"; "6.0 in".
std::string show_depth(double m, Units units);
/// "480 m2"; "5,170 ft2".
std::string show_area(double m2, Units units);
/// Share 0 to 1: "41 %".
std::string show_share(double share);
/// Minutes from the start of the rain: "at minute 12".
std::string show_minute(double minute);

/// Letters as a terminal counts them (UTF-8 code points).
std::size_t shown_width(std::string_view text);
/// Lines of at most `width` letters, cut at spaces; a longer word is cut after a hyphen, without one it stays
/// whole.
std::vector<std::string> wrapped(std::string_view text, std::size_t width);
/// Filled with spaces to `width`; text that is longer is cut and ends with "…".
std::string padded(std::string_view text, std::size_t width, bool right = false);

}  // namespace curbshed::report
