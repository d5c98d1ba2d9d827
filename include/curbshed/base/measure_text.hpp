// Reads "18 in", "1.8ft3/s", "2in/h": a number with its unit, as people write it.
#pragma once

#include "curbshed/base/quantity.hpp"

#include <string>
#include <string_view>

namespace curbshed::base {

/// What a text is expected to measure.
enum class Dimension : unsigned char { Plain, Length, Area, Volume, Duration, Rate, Flow, Slope, Decay };

/// Value in SI (metres, square metres, cubic metres, seconds, metres a second, cubic metres a second,
/// fraction). Lengths may be feet and inches: "62 ft 4 in". A number without a unit is accepted for Plain
/// only, and for Slope as a fraction; "2 %" is a Slope or, for Plain, 0.02. Throws InputError (without a
/// place: the caller adds it) that lists the units allowed. Units: m cm mm ft usft in · m2 ft2 ac ha · m3 L
/// ft3 gal · s min h d · mm/h in/h m/s ft/s um/s · m3/s L/s ft3/s gal/min
/// · 1/s 1/min 1/h.
double parse_measure(std::string_view text, Dimension dimension);

/// The unit list of a dimension, for messages and docs: "m, cm, mm, ft, usft, in".
std::string units_of(Dimension dimension);

/// Factor to SI of a unit word ("in" → 0.0254). Throws InputError for a word that does not fit.
double unit_factor(std::string_view unit, Dimension dimension);

}  // namespace curbshed::base
