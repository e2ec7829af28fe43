#pragma once
#include "evenstroke/base/constants.hpp"
#include "evenstroke/components/ramp.hpp"

namespace evenstroke {

/// Flow through an element that a third pressure helps to open; positive from -> to.
template <class T>
struct PilotedFlow {
  T q;           ///< [m3/s], volume that leaves upstream
  T dq_dfrom;    ///< dq/dp_from  [m3/(s Pa)]
  T dq_dto;      ///< dq/dp_to    [m3/(s Pa)]
  T dq_dpilot;   ///< dq/dp_pilot [m3/(s Pa)]
};

/// Counterbalance valve: load and pilot open it together against a spring; a check lets nothing back.
///   crack' = max(0, crack - phi (p_pilot - p0))      what the pilot leaves of the setting
///   q      = G max(0, p_from - p_to - crack')        until the pilot holds it wide open: G (dp + phi dp_pilot - crack)
/// Both corners are rounded over `round_pa_diff` with continuous slopes; it is tight at and below crack' and the
/// straight line lies half of `round_pa_diff` above. Pressures abs.   tests: tests/components/counterbalance_test.cpp
template <class T = double>
struct CounterbalanceLaw {
  T crack_pa_diff, gain, pilot_ratio, round_pa_diff = T(1e5);
};

template <class T>
PilotedFlow<T> flow(const CounterbalanceLaw<T>& c, T p_from, T p_to, T p_pilot) {
  const Ramp<T> left = ramp(c.crack_pa_diff - c.pilot_ratio * (p_pilot - T(p0_pa_abs)), c.round_pa_diff);
  const Ramp<T> open = ramp(p_from - p_to - left.y - c.round_pa_diff / T(2), c.round_pa_diff);
  const T slope = c.gain * open.slope;
  return {c.gain * open.y, slope, -slope, slope * left.slope * c.pilot_ratio};
}

}  // namespace evenstroke
