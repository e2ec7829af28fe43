#pragma once
// Bodies of the friction law declared in line.hpp.   tests: tests/components/line_flow_test.cpp
#include "evenstroke/components/line.hpp"

namespace evenstroke {

/// phi = [1 + (Re/8)^12 (A+B)^-1.5]^(1/12)      A = {2.457 ln 1/[(7/Re)^0.9 + 0.27 eps/d]}^16      B = (37530/Re)^16
template <class T>
FrictionRatio<T> churchill(T re, T relative_roughness) {
  using std::exp;
  using std::log;
  using std::sqrt;
  const auto power4 = [](T x) { return (x * x) * (x * x); };
  const T viscous = exp(T(0.9) * log(T(7) / re));
  const T inner = viscous + T(0.27) * relative_roughness;
  const T logarithm = -log(inner);
  const T a = power4(power4(T(2.457) * logarithm));
  const T b = power4(power4(T(37530) / re));
  const T sum = a + b;
  const T eighth = re / T(8);
  const T w = power4(eighth) * power4(eighth) * power4(eighth) / (sum * sqrt(sum));
  const T phi = exp(log(T(1) + w) / T(12));
  const T re_sum_slope = T(14.4) * a * viscous / (inner * logarithm) - T(16) * b;
  return {phi, phi / (T(1) + w) * w * (T(1) - T(0.125) * re_sum_slope / sum)};
}

template <class T>
Drop<T> drop(const LineLaw<T>& l, T q) {
  const T re = l.re_per_flow * q;
  FrictionRatio<T> f{T(1), T(0)};
  if (re > T(laminar_re)) f = churchill(re, T(0));
  return {q * (l.resistance * f.phi + l.minor * q), l.resistance * (f.phi + f.re_phi_slope) + T(2) * l.minor * q};
}

/// Newton between a laminar lower and the laminar-law upper bound (phi >= 1), halving where a step leaves the bracket:
/// dp(q) is monotone but not convex where the flow turns turbulent.
template <class T>
T turbulent_flow(const LineLaw<T>& l, T dp, T q_upper) {
  T low = T(0), high = q_upper, q = q_upper;
  for (int i = 0; i < 100; ++i) {
    const Drop<T> at = drop(l, q);
    const T miss = at.dp - dp;
    if (miss > T(0)) high = q;
    else low = q;
    T next = q - miss / at.slope;
    if (!(next >= low && next <= high)) next = (low + high) / T(2);
    const T step = next - q;
    q = next;
    if (step < q * T(1e-12) && -step < q * T(1e-12)) break;
  }
  return q;
}

template <class T>
ThroughFlow<T> flow(const LineLaw<T>& l, T p_from, T p_to) {
  using std::sqrt;
  const bool forward = p_from >= p_to;
  const T dp = forward ? p_from - p_to : p_to - p_from;
  const T root = sqrt(l.resistance * l.resistance + T(4) * l.minor * dp);
  T q = T(2) * dp / (l.resistance + root);
  T slope = T(1) / root;
  if (l.re_per_flow * q > T(laminar_re)) {
    q = turbulent_flow(l, dp, q);
    slope = T(1) / drop(l, q).slope;
  }
  return {forward ? q : -q, slope, -slope};
}

}  // namespace evenstroke
