#pragma once
#include <cmath>

#include "evenstroke/base/field.hpp"
#include "evenstroke/components/through_flow.hpp"

namespace evenstroke {

/// A line (tube or hose): friction from laminar to turbulent without a jump, smooth bore, wall that swells.
///   dp = R q phi(Re) + c q|q|     R = 128 mu L/(pi d^4)   phi = f/(64/Re), f Churchill 1977   c = zeta rho/(2 A^2)
///   valid: 0.5-25 mm bore; Re < 1e6; no inertance           tests: tests/components/line_test.cpp
struct Line {
  double bore_m = required;
  double length_m = required;
  double wall_m = 1.0e-3;              ///< wall thickness
  double wall_modulus_pa = 206e9;      ///< Young's modulus; steel 206 GPa, polyamide 0.4-1.2 GPa
  double wall_poisson = 0.3;           ///< steel 0.3, polyamide 0.4
  double minor_loss = 2.0;             ///< sum of loss coefficients zeta of ends and bends
  double expansion_per_pa = 0.0;       ///< of a hose: growth of volume over volume and pressure; 0 = use the wall
  double peak_m = 0.0;                 ///< height of the highest or lowest point on the way, above the valve block
  double peak_share = 0.0;             ///< where along the run it lies; 0 = there is none [-]
  double rating_pa_gauge = 0;              ///< pressure it is made for; 0 = not stated
};
template <>
std::span<const Field<Line>> fields<Line>();
void check(const Line&, const std::string& where);
double area_m2(const Line&);
double volume_m3(const Line&);
/// dV/dp/V of the bore [1/Pa]. A hose: its measured expansion (an SAE J343 kind of test). Else closed free ends, thick
/// wall (Lame): [2(1+nu) ro^2 + 3(1-2nu) ri^2]/(E (ro^2-ri^2))
double wall_compliance_per_pa(const Line&);

template <class T = double>
struct LineLaw {
  T resistance;  ///< R [Pa s/m3]
  T minor;       ///< c [Pa s2/m6]
  T re_per_flow; ///< Re/|q| = 4/(pi d nu) [s/m3]
};
/// Law of `share` of the line (0.5 for each half) in oil of density rho and kinematic viscosity nu.
LineLaw<double> line_law(const Line&, double share, double rho_kg_per_m3, double nu_m2_per_s);

/// Below this Re phi is 1 to 4e-9 and Re phi' to 2e-7: the closed form is exact for the solver's purpose.
inline constexpr double laminar_re = 1400.0;

/// Friction over the laminar law, phi = f/(64/Re), and Re dphi/dRe (Churchill 1977, all regimes).
template <class T>
struct FrictionRatio {
  T phi, re_phi_slope;
};
template <class T>
FrictionRatio<T> churchill(T re, T relative_roughness);

/// Drop over the law at q >= 0 and its slope d(dp)/dq.
template <class T>
struct Drop {
  T dp, slope;
};
template <class T>
Drop<T> drop(const LineLaw<T>& l, T q);

/// Inverse of dp(q), odd: closed form while Re < laminar_re, else Newton.
template <class T>
ThroughFlow<T> flow(const LineLaw<T>& l, T p_from, T p_to);

/// The same for a mixture of density_factor times the oil's density and viscosity_factor times its dynamic viscosity.
template <class T>
ThroughFlow<T> flow(const LineLaw<T>& l, T p_from, T p_to, T density_factor, T viscosity_factor) {
  return flow(LineLaw<T>{l.resistance * viscosity_factor, l.minor * density_factor,
                         l.re_per_flow * density_factor / viscosity_factor},
              p_from, p_to);
}

}  // namespace evenstroke

#include "evenstroke/components/line_flow.hpp"
