#include "evenstroke/fluid/oil.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "evenstroke/base/error.hpp"
#include "evenstroke/fluid/viscosity_index.hpp"
#include "evenstroke/fluid/walther.hpp"

namespace evenstroke {
namespace {

constexpr double t_40_k = 313.15, t_100_k = 373.15, t_15_k = 288.15;
constexpr double t_low_k = 233.15, t_high_k = 423.15;

Walther line_of(const Oil& o) { return walther(o.nu_40_m2_per_s, t_40_k, o.nu_100_m2_per_s, t_100_k); }

void check_temperature(double t_k, const char* name = "temperature") {
  check_range("", name, Quantity::temperature, t_k, t_low_k, t_high_k);
}

/// Real liquids lie between about 1.5 (silicone fluids) and 5 (naphthenic oils); outside, a number was mistyped.
void check_thinning(const Walther& line, const std::string& field, double nu) {
  if (!(line.slope >= 0.5 && line.slope <= 6))
    throw InputError(field, number_text(nu), "m2/s",
                     "must give a Walther slope between 0.5 and 6 together with the other viscosity; it gives " +
                         number_text(std::round(line.slope * 1e3) / 1e3));
}

}  // namespace

template <>
std::span<const Field<Oil>> fields<Oil>() {
  using enum Quantity;
  static constexpr std::array<Field<Oil>, 8> table = {{
      {"nu_40", &Oil::nu_40_m2_per_s, viscosity_kinematic, 1e-6, 1e-3, no_band, no_band, "oil_viscosity",
       "Kinematic viscosity at 40 deg C."},
      {"nu_100", &Oil::nu_100_m2_per_s, viscosity_kinematic, 0.3e-6, 1e-4, no_band, no_band, "oil_viscosity",
       "Kinematic viscosity at 100 deg C."},
      {"density_15", &Oil::density_15_kg_per_m3, density, 600, 1400, no_band, no_band, "oil_density",
       "Density at 15 deg C and atmospheric pressure."},
      {"expansion", &Oil::expansion_per_k, expansion, 1e-4, 2e-3, no_band, no_band, "oil_expansion",
       "Share by which the volume grows per kelvin."},
      {"modulus_40", &Oil::modulus_40_pa, modulus, 5e8, 5e9, 1.43e9, 1.94e9, "oil_modulus",
       "Isothermal bulk modulus at 40 deg C and atmospheric pressure, free of air."},
      {"modulus_slope", &Oil::modulus_slope, ratio, 0, 15, no_band, no_band, "oil_modulus_slope",
       "Rise of the secant bulk modulus per rise of pressure."},
      {"pressure_viscosity", &Oil::pressure_viscosity_per_pa, compressibility, 0, 1e-7, 1.4e-8, 2.6e-8,
       "oil_pressure_viscosity", "Share by which viscosity rises per pressure, at low pressure."},
      {"temperature", &Oil::temperature_k, temperature, t_low_k, 393.15, no_band, no_band, "oil_temperature",
       "Temperature of oil and air throughout the run."},
  }};
  return table;
}

void check(const Oil& o, const std::string& where) {
  check_fields(o, where);
  check_thinning(line_of(o), field_path(where, "nu_100_m2_per_s"), o.nu_100_m2_per_s);
}

Oil oil_by_grade(int iso_vg, double viscosity_index) {
  struct Grade { int vg; double mid; };  // ISO 3448, mid point at 40 deg C [mm2/s]; an oil may lie 10 % to either side
  static constexpr std::array<Grade, 12> grades = {{{2, 2.2}, {3, 3.2}, {5, 4.6}, {7, 6.8}, {10, 10}, {15, 15},
                                                    {22, 22}, {32, 32}, {46, 46}, {68, 68}, {100, 100}, {150, 150}}};
  const auto grade = std::find_if(grades.begin(), grades.end(), [&](const Grade& g) { return g.vg == iso_vg; });
  if (grade == grades.end())
    throw InputError("grade", "ISO VG " + std::to_string(iso_vg), "",
                     "must be one of ISO VG 2, 3, 5, 7, 10, 15, 22, 32, 46, 68, 100, 150");
  const double nu_40 = grade->mid * 1e-6;
  return {.name = "ISO VG " + std::to_string(iso_vg), .nu_40_m2_per_s = nu_40,
          .nu_100_m2_per_s = nu_100_of_index(nu_40, viscosity_index)};
}

Oil oil_by_points(double nu_a_m2_per_s, double t_a_k, double nu_b_m2_per_s, double t_b_k) {
  check_range("", "nu_a", Quantity::viscosity_kinematic, nu_a_m2_per_s, 0.3e-6, 0.1);
  check_range("", "nu_b", Quantity::viscosity_kinematic, nu_b_m2_per_s, 0.3e-6, 0.1);
  check_temperature(t_a_k, "t_a");
  check_temperature(t_b_k, "t_b");
  if (std::abs(t_a_k - t_b_k) < 5)
    throw InputError("t_b_k", number_text(t_b_k), "K", "must differ from t_a_k by 5 K or more");
  const Walther line = walther(nu_a_m2_per_s, t_a_k, nu_b_m2_per_s, t_b_k);
  check_thinning(line, "nu_b_m2_per_s", nu_b_m2_per_s);
  return {.name = "two measured points", .nu_40_m2_per_s = kinematic_viscosity(line, t_40_k),
          .nu_100_m2_per_s = kinematic_viscosity(line, t_100_k)};
}

double kinematic_viscosity(const Oil& o, double temperature_k) {
  check_temperature(temperature_k);
  return kinematic_viscosity(line_of(o), temperature_k);
}

double density(const Oil& o, double temperature_k) {
  check_temperature(temperature_k);
  return o.density_15_kg_per_m3 / (1 + o.expansion_per_k * (temperature_k - t_15_k));
}

double viscosity_factor(const Oil& o, double p_pa_abs) {
  return std::exp(o.pressure_viscosity_per_pa * (p_pa_abs - p0_pa_abs));
}

LiquidLaw<double> liquid_law(const Oil& o, double temperature_k) {
  check_temperature(temperature_k);
  return {.k0_pa = o.modulus_40_pa * std::pow(10, -0.0024 * (temperature_k - t_40_k)), .slope = o.modulus_slope};
}

}  // namespace evenstroke
