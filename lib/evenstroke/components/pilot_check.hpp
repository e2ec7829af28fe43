#pragma once
#include "evenstroke/components/counterbalance.hpp"
#include "evenstroke/components/ramp.hpp"
#include "evenstroke/components/through_flow.hpp"

namespace evenstroke {

/// What a pilot holds open of an orifice, against the pressure it holds back:
///   s = phi (p_pilot - p_to) - (p_from - p_to) - spring      open = ease(s/full), exactly 0 for s <= 0, 1 for s >= full
///   q = open q_orifice(p_from, p_to)
/// A pilot-operated check valve released against its load (phi: pilot area over that of its seat); with phi = 1 the shuttle of a
/// closed circuit, which opens its side once the other one has the higher pressure. Pressures abs; q as in orifice.hpp.
/// tests: tests/components/pilot_check_test.cpp
template <class T = double>
struct PilotLaw {
  T pilot_ratio, spring_pa_diff, full_pa_diff;
};

/// `o`: the orifice held wide open, at the same pressures.
template <class T>
PilotedFlow<T> released(const PilotLaw<T>& c, const ThroughFlow<T>& o, T p_from, T p_to, T p_pilot) {
  const T s = c.pilot_ratio * (p_pilot - p_to) - (p_from - p_to) - c.spring_pa_diff;
  const Ramp<T> lift = ease(s / c.full_pa_diff);
  const T open = lift.y, slope = lift.slope / c.full_pa_diff;
  return {open * o.q, open * o.dq_dfrom - o.q * slope, open * o.dq_dto + o.q * slope * (T(1) - c.pilot_ratio),
          o.q * slope * c.pilot_ratio};
}

}  // namespace evenstroke
