#pragma once
#include <cmath>

#include "evenstroke/air/closure.hpp"

// tests: tests/air/closure_solve_test.cpp
// The pressure of air/closure.hpp. With x = p - p0 and q = K0 + A x (the secant modulus), the closure times q p is
//   N(p) = (q D + V_oil x) p - G q,    D = V_avail - V_oil + C_w x
// a cubic with real roots only, one of them at p > 0; right of it N, N' and N'' are positive. A start on the right
// therefore converges from the right, always. Treating the wall as C_w x K0/q makes N a quadratic whose root is such a
// start (and is the answer where the wall is rigid). N is formed from V_avail - V_oil: a nearly full volume loses no
// digits.

namespace evenstroke {
namespace closure_detail {

inline constexpr double p_top_pa_abs = 2e8;  // end of the exact curve, well above any pressure the laws are valid for

/// Halley's step on N; returns the correction to p. Only products and one division.
template <class T>
T halley(const Closure<T>& c, const T& spare, const T& p) {
  const T a = c.liquid.slope, x = p - T(p0_pa_abs), q = c.liquid.k0_pa + a * x;
  const T d = spare + c.wall_m3_per_pa * x;
  const T inner = q * d + c.oil_m3 * x;
  const T inner1 = a * d + q * c.wall_m3_per_pa + c.oil_m3;
  const T n = inner * p - c.gas_j * q;
  const T n1 = inner1 * p + inner - c.gas_j * a;
  const T n2 = T(2) * (a * c.wall_m3_per_pa * p + inner1);
  return T(2) * n * n1 / (T(2) * n1 * n1 - n * n2);
}

/// Root of the quadratic, `soft` = V_oil + C_w K0. No cancellation: the product of its roots is never positive.
template <class T>
T start(const Closure<T>& c, const T& spare, const T& soft) {
  using std::sqrt;
  const T k_zero = c.liquid.k0_pa - c.liquid.slope * T(p0_pa_abs);  // secant modulus carried on to p = 0
  const T a = spare * c.liquid.slope + soft;
  if (a < T(0) || spare + a <= T(0)) return T(2 * p_top_pa_abs);  // less room than the liquid ever shrinks to
  const T b = spare * k_zero - soft * T(p0_pa_abs) - c.gas_j * c.liquid.slope;
  const T root = sqrt(b * b + T(4) * a * c.gas_j * k_zero);
  return b > T(0) ? T(2) * c.gas_j * k_zero / (b + root) : (root - b) / (T(2) * a);
}

/// -1/compliance, in one division.
template <class T>
T slope(const Closure<T>& c, const T& p) {
  const T q = c.liquid.k0_pa + c.liquid.slope * (p - T(p0_pa_abs));
  const T qq = q * q, pp = p * p;
  return -qq * pp / (c.gas_j * qq + (c.oil_m3 * c.liquid.k0_pa + c.wall_m3_per_pa * qq) * pp);
}

}  // namespace closure_detail

template <class T>
PressureSlope<T> pressure(const Closure<T>& c, T available_m3) {
  using std::abs;
  const T top = T(closure_detail::p_top_pa_abs), spare = available_m3 - c.oil_m3;
  T p = closure_detail::start(c, spare, c.oil_m3 + c.wall_m3_per_pa * c.liquid.k0_pa);
  if (p > top) {
    const T excess = content_volume(c, top) - available_m3 - c.wall_m3_per_pa * (top - T(p0_pa_abs));
    const T soft = compliance(c, top);
    if (soft <= T(0)) return {top, T(0)};  // nothing inside and less than no room: any pressure is a made-up one
    if (excess >= T(0)) return {top + excess / soft, T(-1) / soft};
    p = top;
  }
  if (c.wall_m3_per_pa > T(0)) {
    for (int i = 0; i < 40 && p > c.p_floor_pa_abs; ++i) {
      const T step = closure_detail::halley(c, spare, p);
      p = p - step;
      if (abs(step) <= T(1e-5) * p) break;  // third order: the next step would be below round-off
    }
  }
  if (p <= c.p_floor_pa_abs) return {c.p_floor_pa_abs, T(0)};
  return {p, closure_detail::slope(c, p)};
}

}  // namespace evenstroke
