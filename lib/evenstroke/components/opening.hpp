#pragma once
#include "evenstroke/components/ramp.hpp"

namespace evenstroke {

/// Share to which the position of an axis opens an orifice, and its slope d(share)/dx.
///   s = (x - shut_at) per      share = least + (1 - least) ease(s)
///   ease: exactly 0 for s <= 0, exactly 1 for s >= 1, straight between with corners rounded over a tenth; ease(1/2) = 1/2
/// Serves a re-phasing passage at the end of a stroke and the metering edges of a divider's spool; `per` < 0: opens inward.
/// tests: tests/components/opening_test.cpp
template <class T = double>
struct OpeningLaw {
  T shut_at, per, least;
  struct Share { T share, slope; };
};

template <class T>
typename OpeningLaw<T>::Share opening(const OpeningLaw<T>& o, T x) {
  constexpr double round = 0.1;
  const T s = T(1 + round) * (x - o.shut_at) * o.per - T(round / 2);
  const Ramp<T> from = ramp(s, T(round)), to = ramp(s - T(1), T(round));
  const T ease = from.y - to.y, slope = (from.slope - to.slope) * T(1 + round) * o.per;
  return {o.least + (T(1) - o.least) * ease, (T(1) - o.least) * slope};
}

}  // namespace evenstroke
