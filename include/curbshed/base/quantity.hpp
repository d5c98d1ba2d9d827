// Quantities: a number that crosses a public header says what it measures. SI inside.
#pragma once

#include <cmath>
#include <compare>

namespace curbshed::base {

/// Exact by definition (international foot, 1959; US gallon = 231 in3; US survey foot = 1200/3937 m).
inline constexpr double kMetresPerFoot = 0.3048;
inline constexpr double kMetresPerInch = 0.0254;
inline constexpr double kMetresPerUsSurveyFoot = 1200.0 / 3937.0;
inline constexpr double kCubicMetresPerCubicFoot = kMetresPerFoot * kMetresPerFoot * kMetresPerFoot;
inline constexpr double kCubicMetresPerGallon = 231.0 * kMetresPerInch * kMetresPerInch * kMetresPerInch;
inline constexpr double kSquareMetresPerAcre = 43560.0 * kMetresPerFoot * kMetresPerFoot;
inline constexpr double kSecondsPerMinute = 60.0;
inline constexpr double kSecondsPerHour = 3600.0;
inline constexpr double kSecondsPerDay = 24.0 * kSecondsPerHour;
inline constexpr double kGravity_m_s2 = 9.80665;  ///< standard gravity (ISO 80000-3)

namespace detail {
/// Throws InputError when `value` is not finite. `kind` names the quantity in the message.
double finite(double value, const char* kind);
/// Throws InputError when `value` is not within [low, high].
double within(double value, double low, double high, const char* kind);
}  // namespace detail

/// Shared arithmetic of one kind of quantity: sums and multiples of itself, ratios as plain numbers.
template <class Self>
class Quantity {
 public:
  friend constexpr Self operator+(Self a, Self b) { return Self(a.si() + b.si()); }
  friend constexpr Self operator-(Self a, Self b) { return Self(a.si() - b.si()); }
  friend constexpr Self operator*(Self a, double k) { return Self(a.si() * k); }
  friend constexpr Self operator*(double k, Self a) { return Self(k * a.si()); }
  friend constexpr Self operator/(Self a, double k) { return Self(a.si() / k); }
  friend constexpr double operator/(Self a, Self b) { return a.si() / b.si(); }
  friend constexpr auto operator<=>(Self a, Self b) { return a.si() <=> b.si(); }
  friend constexpr bool operator==(Self a, Self b) { return a.si() == b.si(); }

 protected:
  constexpr explicit Quantity(double si) : si_(si) {}
  constexpr double si() const { return si_; }

 private:
  double si_;
};

/// A length or a height. Any finite value.
class Length : public Quantity<Length> {
 public:
  static Length metres(double v) { return Length(detail::finite(v, "length")); }
  static Length centimetres(double v) { return metres(v / 100.0); }
  static Length millimetres(double v) { return metres(v / 1000.0); }
  static Length feet(double v) { return metres(v * kMetresPerFoot); }
  static Length us_survey_feet(double v) { return metres(v * kMetresPerUsSurveyFoot); }
  static Length inches(double v) { return metres(v * kMetresPerInch); }
  constexpr double in_metres() const { return si(); }
  constexpr double in_millimetres() const { return si() * 1000.0; }
  constexpr double in_feet() const { return si() / kMetresPerFoot; }
  constexpr double in_inches() const { return si() / kMetresPerInch; }

 private:
  friend class Quantity<Length>;
  using Quantity::Quantity;
};

/// An area. Any finite value.
class Area : public Quantity<Area> {
 public:
  static Area square_metres(double v) { return Area(detail::finite(v, "area")); }
  static Area square_feet(double v) { return square_metres(v * kMetresPerFoot * kMetresPerFoot); }
  static Area acres(double v) { return square_metres(v * kSquareMetresPerAcre); }
  constexpr double in_square_metres() const { return si(); }
  constexpr double in_square_feet() const { return si() / (kMetresPerFoot * kMetresPerFoot); }
  constexpr double in_acres() const { return si() / kSquareMetresPerAcre; }

 private:
  friend class Quantity<Area>;
  using Quantity::Quantity;
};

/// A volume of water or earth. Any finite value.
class Volume : public Quantity<Volume> {
 public:
  static Volume cubic_metres(double v) { return Volume(detail::finite(v, "volume")); }
  static Volume litres(double v) { return cubic_metres(v / 1000.0); }
  static Volume cubic_feet(double v) { return cubic_metres(v * kCubicMetresPerCubicFoot); }
  static Volume gallons(double v) { return cubic_metres(v * kCubicMetresPerGallon); }
  constexpr double in_cubic_metres() const { return si(); }
  constexpr double in_litres() const { return si() * 1000.0; }
  constexpr double in_cubic_feet() const { return si() / kCubicMetresPerCubicFoot; }
  constexpr double in_gallons() const { return si() / kCubicMetresPerGallon; }

 private:
  friend class Quantity<Volume>;
  using Quantity::Quantity;
};

/// A span of time. Any finite value.
class Duration : public Quantity<Duration> {
 public:
  static Duration seconds(double v) { return Duration(detail::finite(v, "duration")); }
  static Duration minutes(double v) { return seconds(v * kSecondsPerMinute); }
  static Duration hours(double v) { return seconds(v * kSecondsPerHour); }
  constexpr double in_seconds() const { return si(); }
  constexpr double in_minutes() const { return si() / kSecondsPerMinute; }
  constexpr double in_hours() const { return si() / kSecondsPerHour; }

 private:
  friend class Quantity<Duration>;
  using Quantity::Quantity;
};

/// A depth of water per time: rain intensity, infiltration. Any finite value.
class Rate : public Quantity<Rate> {
 public:
  static Rate metres_per_second(double v) { return Rate(detail::finite(v, "rate")); }
  static Rate millimetres_per_hour(double v) { return metres_per_second(v / 1000.0 / kSecondsPerHour); }
  static Rate inches_per_hour(double v) { return metres_per_second(v * kMetresPerInch / kSecondsPerHour); }
  constexpr double in_metres_per_second() const { return si(); }
  constexpr double in_millimetres_per_hour() const { return si() * 1000.0 * kSecondsPerHour; }
  constexpr double in_inches_per_hour() const { return si() * kSecondsPerHour / kMetresPerInch; }

 private:
  friend class Quantity<Rate>;
  using Quantity::Quantity;
};

/// A volume of water per time. Any finite value.
class Flow : public Quantity<Flow> {
 public:
  static Flow cubic_metres_per_second(double v) { return Flow(detail::finite(v, "flow")); }
  static Flow litres_per_second(double v) { return cubic_metres_per_second(v / 1000.0); }
  static Flow cubic_feet_per_second(double v) {
    return cubic_metres_per_second(v * kCubicMetresPerCubicFoot);
  }
  constexpr double in_cubic_metres_per_second() const { return si(); }
  constexpr double in_litres_per_second() const { return si() * 1000.0; }
  constexpr double in_cubic_feet_per_second() const { return si() / kCubicMetresPerCubicFoot; }

 private:
  friend class Quantity<Flow>;
  using Quantity::Quantity;
};

/// Fall over run, 0 to 10 (1000 %). A negative fall is a direction, not a slope.
class Slope {
 public:
  static Slope fraction(double v) { return Slope(detail::within(v, 0.0, 10.0, "slope")); }
  static Slope percent(double v) { return fraction(v / 100.0); }
  constexpr double as_fraction() const { return value_; }
  constexpr double as_percent() const { return value_ * 100.0; }

 private:
  constexpr explicit Slope(double v) : value_(v) {}
  double value_;
};

/// Share of rain that runs off, 0 to 1.
class RunoffFraction {
 public:
  static RunoffFraction of(double v) {
    return RunoffFraction(detail::within(v, 0.0, 1.0, "runoff fraction"));
  }
  constexpr double value() const { return value_; }

 private:
  constexpr explicit RunoffFraction(double v) : value_(v) {}
  double value_;
};

/// Manning roughness n, 0.005 to 1.
class Roughness {
 public:
  static Roughness manning(double v) { return Roughness(detail::within(v, 0.005, 1.0, "Manning roughness")); }
  constexpr double value() const { return value_; }

 private:
  constexpr explicit Roughness(double v) : value_(v) {}
  double value_;
};

/// Share of the approaching flow that an opening takes, 0 to 1.
class Efficiency {
 public:
  static Efficiency of(double v) { return Efficiency(detail::within(v, 0.0, 1.0, "efficiency")); }
  constexpr double value() const { return value_; }

 private:
  constexpr explicit Efficiency(double v) : value_(v) {}
  double value_;
};

/// Share of a soil or stone that is voids, 0 to 1.
class Porosity {
 public:
  static Porosity of(double v) { return Porosity(detail::within(v, 0.0, 1.0, "porosity")); }
  constexpr double value() const { return value_; }

 private:
  constexpr explicit Porosity(double v) : value_(v) {}
  double value_;
};

constexpr double operator*(Slope s, double k) { return s.as_fraction() * k; }
inline Area operator*(Length a, Length b) { return Area::square_metres(a.in_metres() * b.in_metres()); }
inline Volume operator*(Area a, Length h) {
  return Volume::cubic_metres(a.in_square_metres() * h.in_metres());
}
inline Volume operator*(Flow q, Duration t) {
  return Volume::cubic_metres(q.in_cubic_metres_per_second() * t.in_seconds());
}
inline Flow operator*(Area a, Rate i) {
  return Flow::cubic_metres_per_second(a.in_square_metres() * i.in_metres_per_second());
}
inline Length operator*(Rate i, Duration t) {
  return Length::metres(i.in_metres_per_second() * t.in_seconds());
}

}  // namespace curbshed::base
