#pragma once
#include "evenstroke/base/constants.hpp"

namespace evenstroke {

/// Compression of the liquid, secant form linear in pressure (Klaus and O'Brien; measured: Hydraulic Handbook 7.1)
///   v(p) = V/V(p0) = 1 - pg/(K0 + A pg),  pg = p - p0
///   tangent modulus K = -v/(dv/dp) = (K0 + (A-1) pg)(K0 + A pg)/K0
///   valid: 0 < p < 1250 bar                                tests: tests/fluid/liquid_test.cpp
template <class T = double>
struct LiquidLaw {
  T k0_pa = 1.6e9;  ///< modulus at p0
  T slope = 5.3;    ///< A [-]; 0 = constant secant modulus
};

template <class T>
T relative_volume(const LiquidLaw<T>& l, T p_pa_abs) {
  const T pg = p_pa_abs - T(p0_pa_abs);
  return T(1) - pg / (l.k0_pa + l.slope * pg);
}

/// dv/dp [1/Pa]
template <class T>
T relative_volume_dp(const LiquidLaw<T>& l, T p_pa_abs) {
  const T d = l.k0_pa + l.slope * (p_pa_abs - T(p0_pa_abs));
  return -l.k0_pa / (d * d);
}

/// Isothermal tangent bulk modulus -v dp/dv [Pa]
template <class T>
T bulk_modulus(const LiquidLaw<T>& l, T p_pa_abs) {
  return -relative_volume(l, p_pa_abs) / relative_volume_dp(l, p_pa_abs);
}

}  // namespace evenstroke
