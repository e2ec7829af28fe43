#pragma once
#include "evenstroke/base/field.hpp"
#include "evenstroke/components/ramp.hpp"

namespace evenstroke {

/// Spool-type flow divider for two branches: per side a fixed orifice and behind it an edge of one spool, which stands where
///   A_s (p_1 - p_2) = k x + F_flow -+ friction      p_i: between the fixed orifice and the edge of side i
///   F_flow = c A_edge |dp| per edge, towards its shutting (steady flow force; c = 2 Cd cos 69 deg = 0.43, Merritt 1967)
/// From middle to either stop one edge opens from half to all and the other shuts to `least_opening`: the spool is saturated there.
/// With delta = |A_s (p_1 - p_2)|/A_s the flows differ by eps = (Q_1 - Q_2)/(Q_1 + Q_2) = delta/(4 dp_fixed), so eps ~ 1/Q^2:
/// there is a least flow below which it hardly divides. A divider lets oil back through a check beside each side; a
/// divider/combiner meters it: its two halves are drawn apart while oil flows out, pressed together while it comes back; which of the two is
/// taken from the directional valve, not from the flow: by hand, or at rest in a load's way, the one it stood for last.
/// tests: tests/components/divider_test.cpp, tests/limits/spool_divider_test.cpp
struct SpoolDivider {
  double rated_flow_m3_per_s = 0;          ///< of the inlet; must be given
  double rated_drop_pa_diff = 5e5;         ///< over a fixed orifice at half of it
  double edge_share = 4;                   ///< full opening of an edge of the spool over a fixed orifice [-]
  double least_opening = 0.01;             ///< of an edge whose spool is at its stop, share of the full one
  double spool_area_m2 = 2.8e-5;           ///< A_s
  double spool_way_m = 1e-3;               ///< from the middle to either stop
  double spring_n_per_m = 500;             ///< k, of the centring springs
  double flow_force = 0.43;                ///< c [-]
  double spool_breakaway_n = 0.3;
  double transition_re = 20;               ///< of its sharp edges, where flow turns from laminar to turbulent
  double spool_viscous_n_s_per_m = 20;     ///< oil in its damping gaps
};
template <>
std::span<const Field<SpoolDivider>> fields<SpoolDivider>();
void check(const SpoolDivider&, const std::string& where);
/// Area of a fixed orifice: half of the rated flow at the rated drop.
double fixed_area_m2(const SpoolDivider&, double discharge, double rho_kg_per_m3);

/// |dp| with its corner rounded, so that the force has a slope everywhere; 125 Pa more at dp = 0.
template <class T>
Ramp<T> flow_force_drop(T dp) {
  constexpr double round_pa = 500;
  const Ramp<T> forth = ramp(dp, T(round_pa)), back = ramp(-dp, T(round_pa));
  return {forth.y + back.y, forth.slope - back.slope};
}

}  // namespace evenstroke
