#pragma once
#include <cmath>

#include "evenstroke/base/constants.hpp"
#include "evenstroke/fluid/liquid.hpp"

namespace evenstroke {

/// Closed forms for oil with free air, no transfer between them. The simulation needs none of them: it keeps contents
/// and closes the volume (air/closure.hpp); they say what that must amount to, and serve readings and tests.
///   V(p)/V(p0) = alpha0 (p0/p)^(1/n) + (1 - alpha0) v(p)      alpha(p) = alpha0 (p0/p)^(1/n) / (V/V0)
///   1/K_eff = alpha(p)/(n p) + (1 - alpha(p))/K_l(p)         1/c^2 = rho_mix (alpha/K_g + (1 - alpha)/K_l) (Wood 1930)
///   alpha0  void fraction at p0 [-]   n  polytropic index, 1 isothermal, 1.4 adiabatic   K_l  tangent modulus, liquid
/// valid: 0 <= alpha0 < 1, p > 0; bubbles above 6 um; sound far below resonance     tests: tests/air/modulus_test.cpp
template <class T>
T relative_content(T alpha0, T p_pa_abs, T n, const LiquidLaw<T>& l) {
  using std::pow;
  return alpha0 * pow(T(p0_pa_abs) / p_pa_abs, T(1) / n) + (T(1) - alpha0) * relative_volume(l, p_pa_abs);
}

template <class T>
T void_fraction(T alpha0, T p_pa_abs, T n, const LiquidLaw<T>& l) {
  using std::pow;
  return alpha0 * pow(T(p0_pa_abs) / p_pa_abs, T(1) / n) / relative_content(alpha0, p_pa_abs, n, l);
}

/// Tangent modulus of the mixture [Pa], with the void fraction at pressure.
template <class T>
T effective_modulus(T alpha0, T p_pa_abs, T n, const LiquidLaw<T>& l) {
  const T alpha = void_fraction(alpha0, p_pa_abs, n, l);
  return T(1) / (alpha / (n * p_pa_abs) + (T(1) - alpha) / bulk_modulus(l, p_pa_abs));
}

/// Speed of sound [m/s] at void fraction `alpha`, gas and liquid by density [kg/m3] and modulus [Pa].
template <class T>
T wood_speed(T alpha, T gas_kg_per_m3, T gas_modulus_pa, T liquid_kg_per_m3, T liquid_modulus_pa) {
  using std::sqrt;
  const T rho = alpha * gas_kg_per_m3 + (T(1) - alpha) * liquid_kg_per_m3;
  return sqrt(T(1) / (rho * (alpha / gas_modulus_pa + (T(1) - alpha) / liquid_modulus_pa)));
}

double gas_density(double p_pa_abs, double temperature_k);         ///< of dry air, ideal [kg/m3]
/// "Free air" is a volume at p0 and t0 (20 deg C); what enters the closure is G = m R T.
double free_air_kg(double free_air_m3);
double free_air_m3(double mass_kg);
double gas_energy_j(double mass_kg, double temperature_k);         ///< G [J]
double gas_volume_m3(double mass_kg, double p_pa_abs, double temperature_k);

}  // namespace evenstroke
