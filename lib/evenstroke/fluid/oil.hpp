#pragma once
#include <string>

#include "evenstroke/base/field.hpp"
#include "evenstroke/fluid/liquid.hpp"

namespace evenstroke {

/// Hydraulic oil. Viscosity over temperature: Walther line through two points (fluid/walther.hpp). Volume grows
/// linearly with temperature. Secant modulus (fluid/liquid.hpp) falls with it: log10 K0 = log10 K40 - 0.0024 (t - 40).
/// tests: tests/fluid/oil_test.cpp
struct Oil {
  std::string name;                        ///< "ISO VG 22" or the caller's own
  double nu_40_m2_per_s = required;        ///< kinematic viscosity at 40 deg C
  double nu_100_m2_per_s = required;       ///< ... at 100 deg C
  double density_15_kg_per_m3 = 870;
  double expansion_per_k = 7e-4;
  double modulus_40_pa = 1.687e9;          ///< secant modulus at p0 and 40 deg C, air-free
  double modulus_slope = 5.3;              ///< A
  double pressure_viscosity_per_pa = 1.7e-8;   ///< b of Barus' law
  double temperature_k = 293.15;           ///< at which everything runs
};
/// Oil of an ISO 3448 grade (2 ... 150) with a viscosity index (ASTM D2270; 90 ... 350, for VG 2 to 5 at most 100);
/// nu_100 follows from it (fluid/viscosity_index.hpp).
Oil oil_by_grade(int iso_vg, double viscosity_index = 100);
/// Oil through two measured points of viscosity; temperatures in kelvin.
Oil oil_by_points(double nu_a_m2_per_s, double t_a_k, double nu_b_m2_per_s, double t_b_k);
void check(const Oil&, const std::string& where);

/// The three laws throw InputError outside 233.15 ... 423.15 K.
double kinematic_viscosity(const Oil&, double temperature_k);   ///< [m2/s]
double density(const Oil&, double temperature_k);               ///< at p0 [kg/m3]
LiquidLaw<double> liquid_law(const Oil&, double temperature_k);

/// Viscosity under pressure over that at p0 (Barus 1893): exp[b (p - p0)]; valid to some hundred bar.
double viscosity_factor(const Oil&, double p_pa_abs);

}  // namespace evenstroke
