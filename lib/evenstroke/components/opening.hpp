#pragma once
#include "evenstroke/components/ramp.hpp"

namespace evenstroke {

/// Share to which the position of an axis opens an orifice, and its slope d(share)/dx.
///   s = (x - shut_at) per      share = least + (1 - least) ease(s)
///   ease: ramp.hpp
/// Serves a re-phasing passage at the end of a stroke and the metering edges of a divider's spool; `per` < 0: opens inward.
/// tests: tests/components/opening_test.cpp
template <class T = double>
struct OpeningLaw {
  T shut_at, per, least;
  struct Share { T share, slope; };
};

template <class T>
typename OpeningLaw<T>::Share opening(const OpeningLaw<T>& o, T x) {
  const Ramp<T> open = ease((x - o.shut_at) * o.per);
  return {o.least + (T(1) - o.least) * open.y, (T(1) - o.least) * open.slope * o.per};
}

}  // namespace evenstroke
