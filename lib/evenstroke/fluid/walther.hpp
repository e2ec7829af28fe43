#pragma once

namespace evenstroke {

/// Viscosity over temperature as a straight line (ASTM D341, Walther), written about 40 deg C:
///   log10 log10 Z = y_40 - slope log10(T/313.15 K)     Z = nu + 0.7 + exp(-1.47 - 1.84 nu - 0.51 nu^2), nu in mm2/s
///   the exponential (base e) matters below 2 mm2/s only; slope: real liquids 1.5 to 5
/// valid: one-phase oils near and between the two points; nu > 0.2 mm2/s         tests: tests/fluid/walther_test.cpp
struct Walther {
  double y_40, slope;
};
Walther walther(double nu_a_m2_per_s, double t_a_k, double nu_b_m2_per_s, double t_b_k);
double kinematic_viscosity(const Walther&, double temperature_k);   ///< [m2/s]

}  // namespace evenstroke
