// The registry of outside checks: numbers that somebody else published, ours beside them. docs/validation.md
// is made from it.
#pragma once

#include <cmath>
#include <string>
#include <vector>

namespace curbshed::testing {

/// How we know the published number.
enum class Read {
  Text,        ///< the document's text was read
  SecondHand,  ///< read in another document that cites it
  Memory,      ///< not seen; from memory, the arithmetic agrees
};

struct PrintedValue {
  std::string what;
  std::string unit;
  double printed = 0.0;
  int decimals = 0;  ///< as printed
  double ours = 0.0;
  double tolerance = 0.0;  ///< 0 = half a unit of the last printed place
  std::string why = {};    ///< of a wider tolerance

  double allowed() const { return tolerance > 0.0 ? tolerance : 0.501 * std::pow(10.0, -decimals); }
};

/// The same formula worked apart from the program (scripts in double precision): agreement within 1e-6 of it.
struct ExactValue {
  std::string what;
  double exact = 0.0;
  double ours = 0.0;
};

/// One published example or one whole table, counted once.
struct OutsideCheck {
  std::string document;
  std::string number;  ///< "example 4-1 (1)"; with `document` unique
  Read read = Read::Text;
  std::string what;
  std::vector<PrintedValue> printed = {};
  std::vector<ExactValue> exact = {};
};

/// Worked out by us from a stated formula: a guard against change, no outside check. Not counted.
struct DerivedCheck {
  std::string what;
  std::string unit;
  double expected = 0.0;
  int decimals = 0;
  double ours = 0.0;
};

inline const std::string kHec22 = "FHWA HEC-22, 3rd ed., 2009";
inline const std::string kTr55 = "NRCS TR-55, 2nd ed., 1986";
inline const std::string kBedient = "Bedient, Huber & Vieux, Hydrology and Floodplain Analysis, 5th ed.";
inline const std::string kChow = "Chow, Maidment & Mays, Applied Hydrology, 1988";

}  // namespace curbshed::testing
