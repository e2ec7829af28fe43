#include "evenstroke/air/closed_forms.hpp"

#include <cmath>
#include <numbers>

#include "evenstroke/base/argument.hpp"
#include "evenstroke/base/constants.hpp"

namespace evenstroke {
namespace {

double lost_m3(double air_m3, double p_pa_abs, double index) {  // volume free air gives up between 1 atm and p
  not_negative("air_m3", air_m3, "m3");
  positive("p_pa_abs", p_pa_abs, "Pa");
  positive("index", index, "");
  return air_m3 * (1 - std::pow(p0_pa_abs / p_pa_abs, 1 / index));
}

void share(const char* field, double value) {
  if (!(value >= 0 && value <= 1)) throw InputError(field, number_text(value), "", "must be from 0 to 1");
}

}  // namespace

double air_offset_m(double air_m3, double area_m2, double p_pa_abs, double index) {
  positive("area_m2", area_m2, "m2");
  return lost_m3(air_m3, p_pa_abs, index) / area_m2;
}

double locked_pressure_pa_gauge(double load_n, double rod_area_m2) {
  not_negative("load_n", load_n, "N");
  positive("rod_area_m2", rod_area_m2, "m2");
  return load_n / rod_area_m2;
}

double pressurise_time_s(double air_m3, double oil_m3, double bulk_modulus_pa, double p_pa_abs, double index,
                         double flow_m3_per_s) {
  not_negative("oil_m3", oil_m3, "m3");
  positive("bulk_modulus_pa", bulk_modulus_pa, "Pa");
  positive("flow_m3_per_s", flow_m3_per_s, "m3/s");
  const double oil = oil_m3 * (p_pa_abs - p0_pa_abs) / bulk_modulus_pa;
  return (lost_m3(air_m3, p_pa_abs, index) + oil) / flow_m3_per_s;
}

double stiffness_n_per_m(double area_m2, double oil_m3, double bulk_modulus_pa, double air_m3, double p_pa_abs,
                         double index) {
  positive("area_m2", area_m2, "m2");
  positive("oil_m3", oil_m3, "m3");
  positive("bulk_modulus_pa", bulk_modulus_pa, "Pa");
  not_negative("air_m3", air_m3, "m3");
  positive("p_pa_abs", p_pa_abs, "Pa");
  positive("index", index, "");
  const double gas_m3_per_pa = air_m3 * p0_pa_abs / p_pa_abs / (index * p_pa_abs);
  return area_m2 * area_m2 / (oil_m3 / bulk_modulus_pa + gas_m3_per_pa);
}

double natural_frequency_hz(double stiffness_n_per_m, double mass_kg) {
  not_negative("stiffness_n_per_m", stiffness_n_per_m, "N/m");
  positive("mass_kg", mass_kg, "kg");
  return std::sqrt(stiffness_n_per_m / mass_kg) / (2 * std::numbers::pi);
}

double closed_circuit_survival(double area_ratio) { return closed_circuit_survival_mixed(area_ratio, 1, 1); }

double closed_circuit_survival_mixed(double area_ratio, double cap_share, double rod_share) {
  if (!(area_ratio > 1 && std::isfinite(area_ratio)))
    throw InputError("area_ratio", number_text(area_ratio), "", "must be above 1");
  share("cap_share", cap_share);
  share("rod_share", rod_share);
  const double back = cap_share / area_ratio;               // of the cap side's air, what reaches the rod side
  const double a = 1 - cap_share + rod_share * back, d = 1 - rod_share;  // the product's diagonal
  const double bc = rod_share * d * back;
  return (a + d + std::sqrt((a - d) * (a - d) + 4 * bc)) / 2;
}

}  // namespace evenstroke
