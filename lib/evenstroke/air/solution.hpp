#pragma once

namespace evenstroke {

inline constexpr double never_released_s = 1e12;   ///< release times from here on mean that nothing is released at all

/// Air dissolved in oil: Henry's law, linear in absolute pressure.                tests: tests/air/solution_test.cpp
///   Bunsen coefficient S: gas volume at 273.15 K and 1 atm that one volume of oil takes up under 1 atm of the gas
///   (ASTM D2779). Mineral oil 0.08 to 0.10 (Backe 1974, published table).
///   Ostwald coefficient L = S T/273.15: the same gas volume at the oil's own temperature.
double dissolved_at_kg_per_m3(double bunsen, double p_pa_abs);   ///< at equilibrium, per volume of oil
double ostwald(double bunsen, double temperature_k);

/// Dissolving of a bubble held up by diffusion around it, quasi-steady (Epstein and Plesset 1950 without their
/// start-up term, which shortens a life by some 30 % at L = 0.1): dm/dt = -4 pi R D L (1 - f) rho_gas,
/// f = dissolved/equilibrium. Resting sphere in still oil; surface tension left out.
///   rate   (1/m) dm/dt of bubbles of a fixed diameter at the oil's pressure: 3 D L (1 - f)/R^2; 0 for f >= 1
///   life   of one shrinking bubble, R^2/(2 D L (1 - f)), R its radius at p, f = saturation_pa/p; infinite for f >= 1
double solution_rate_per_s(double d_m, double diffusivity_m2_per_s, double ostwald, double saturation);
double bubble_life_s(double d0_m, double p_pa_abs, double diffusivity_m2_per_s, double ostwald,
                     double saturation_pa_abs);                  ///< d0 at 1 atm

/// Equilibrium, the limit of infinite time. Oil saturated at 1 atm:
///   with free air `void_at_p0` (share of the whole at 1 atm) all is dissolved at p0 + a/(1 - a) p0 (273.15 K/T)/S;
///   below 1 atm it holds S (p0 - p)/p (T/273.15 K) of its own volume as free gas; 0 above.
double henry_pressure_pa_abs(double void_at_p0, double bunsen, double temperature_k);
double release_at_equilibrium(double bunsen, double temperature_k, double p_pa_abs);

}  // namespace evenstroke
