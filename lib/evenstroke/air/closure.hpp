#pragma once
#include <cmath>

#include "evenstroke/base/constants.hpp"
#include "evenstroke/fluid/liquid.hpp"

namespace evenstroke {

/// Volume closure of one control volume with frozen contents: which pressure makes the content fit?
///   V_oil v(p) + G/p + V_cavity = V_avail + C_w (p - p0),   V_cavity >= 0, p >= p_floor, one of them at its bound
///   V_oil  oil volume at p0 [m3]   v(p) relative volume of the liquid (fluid/liquid.hpp)   G = m_air R T [J]
///   C_w    wall compliance [m3/Pa]                                                         p absolute [Pa]
/// valid: p_floor < p < 1000 bar; isothermal gas.   tests: tests/air/closure_test.cpp
template <class T = double>
struct Closure {
  T oil_m3 = 0;
  T gas_j = 0;
  T wall_m3_per_pa = 0;
  T p_floor_pa_abs = 1000;
  LiquidLaw<T> liquid = {};
};

/// Pressure and its slope dp/dV_avail [Pa/m3], <= 0; exactly 0 while a cavity is open at the floor.
template <class T>
struct PressureSlope {
  T p, dp_dv;
};

/// Solves the closure (air/closure_solve.hpp); falls as the available volume grows, without a jump. Above 2000 bar the
/// curve goes on along its tangent, so an overfull trial state of a solver gets a finite, steep answer.
template <class T>
PressureSlope<T> pressure(const Closure<T>& c, T available_m3);

/// Content volume at a pressure, oil and gas, without cavity [m3].
template <class T>
T content_volume(const Closure<T>& c, T p_pa_abs) {
  return c.oil_m3 * relative_volume(c.liquid, p_pa_abs) + c.gas_j / p_pa_abs;
}

/// How much more volume has to be made available per pascal given up, -dV_avail/dp [m3/Pa]: oil, gas and wall.
template <class T>
T compliance(const Closure<T>& c, T p_pa_abs) {
  return c.gas_j / (p_pa_abs * p_pa_abs) - c.oil_m3 * relative_volume_dp(c.liquid, p_pa_abs) + c.wall_m3_per_pa;
}

/// Empty space, neither oil nor gas, at the floor pressure [m3]; 0 while the content fills what is available.
template <class T>
T cavity_volume(const Closure<T>& c, T available_m3) {
  const T room = available_m3 + c.wall_m3_per_pa * (c.p_floor_pa_abs - T(p0_pa_abs));
  const T gap = room - content_volume(c, c.p_floor_pa_abs);
  return gap > T(0) ? gap : T(0);
}

}  // namespace evenstroke

#include "evenstroke/air/closure_solve.hpp"
