#pragma once
#include <cmath>
#include <limits>
#include <ostream>

namespace evenstroke::testing {

/// Outcome of a comparison of two numbers; prints both, the gap and what was allowed when a check fails.
struct Near {
  double actual, expected, allowed;
  bool good;
  explicit operator bool() const { return good; }
};

inline std::ostream& operator<<(std::ostream& os, const Near& n) {
  const auto digits = os.precision(std::numeric_limits<double>::max_digits10);
  os << n.actual << (n.good ? " is near " : " is not near ") << n.expected << " (gap "
     << std::abs(n.actual - n.expected) << ", allowed " << n.allowed << ")";
  os.precision(digits);
  return os;
}

/// |actual - expected| <= max(rel |expected|, abs). The caller states both, so a small number has no hidden floor and
/// an expected zero needs an `abs`. A NaN on either side, or an infinity, is never near anything.
inline Near near(double actual, double expected, double rel, double abs) {
  const double allowed = std::fmax(rel * std::abs(expected), abs);
  const bool finite = std::isfinite(actual) && std::isfinite(expected) && std::isfinite(allowed);
  return {actual, expected, allowed, finite && std::abs(actual - expected) <= allowed};
}

}  // namespace evenstroke::testing

namespace evenstroke {
using testing::near;
}  // namespace evenstroke
