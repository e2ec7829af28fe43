#pragma once
#include "evenstroke/base/field.hpp"
#include "evenstroke/components/through_flow.hpp"

namespace evenstroke {

/// Rotary (gear) flow divider: one section per branch on a common shaft; meters the volume that enters a section.
///   Q_i = D_i w + X C_s D_i (p_in - p_i)/mu           slip of Wilson's form; X = mu/mu_mixture, gas slips more
///   sum D_i (p_in - p_i) = T_f sgn(w) + B w           massless shaft, stands still below T_break
/// so two equal sections have p_in = (p_1 + p_2)/2 + T_f/(2 D), and a section without load drives the other one up to twice p_in:
/// each outlet may have its own relief valve. A make-up check per outlet lets oil in where the shaft turns a section further than its
/// rod gives. Which section delivers how much more than another is its branch's `dividing_error`.
/// tests: tests/components/divider_test.cpp, tests/limits/rotary_divider_test.cpp
struct RotaryDivider {
  double section_m3_per_rad = 0;           ///< D, displacement of a section; must be given
  double section_slip = 1e-7;              ///< C_s [-]
  double shaft_torque_n_m = 0.02;          ///< T_f while it turns
  double shaft_breakaway = 1.3;            ///< torque that sets it turning, over that
  double shaft_drag_n_m_s = 2e-5;          ///< B
  double outlet_relief_pa_gauge = 0;       ///< of each outlet, to the reservoir; 0 = none
  double makeup_m3_per_s_pa = 0;           ///< flow per pressure of a make-up check from the reservoir into each outlet; 0 = none
};
template <>
std::span<const Field<RotaryDivider>> fields<RotaryDivider>();
void check(const RotaryDivider&, const std::string& where);

/// Share of a metered volume that an inlet near its cavity still fills; 1 from 0.1 bar above it. Zero at it, so that nothing is
/// metered out of a void.
template <class T>
struct Fill {
  T share, slope;
};
template <class T>
Fill<T> fill(T p, T cavity) {
  constexpr double over_pa = 1e4;
  const T s = (p - cavity) / T(over_pa);
  if (s <= T(0)) return {T(0), T(0)};
  if (s >= T(1)) return {T(1), T(0)};
  return {s * (T(2) - s), T(2) * (T(1) - s) / T(over_pa)};
}

}  // namespace evenstroke
