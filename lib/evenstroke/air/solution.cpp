#include "evenstroke/air/solution.hpp"

#include <cmath>
#include <limits>

#include "evenstroke/base/argument.hpp"
#include "evenstroke/air/bubble.hpp"
#include "evenstroke/base/constants.hpp"

namespace evenstroke {
namespace {

constexpr double t_normal_k = 273.15;                                            // of the Bunsen coefficient
constexpr double rho_normal_kg_per_m3 = p0_pa_abs / (air_gas_constant * t_normal_k);

}  // namespace

double dissolved_at_kg_per_m3(double bunsen, double p_pa_abs) {
  not_negative("bunsen", bunsen, "");
  not_negative("p_pa_abs", p_pa_abs, "Pa");
  return bunsen * rho_normal_kg_per_m3 * (p_pa_abs / p0_pa_abs);
}

double ostwald(double bunsen, double temperature_k) {
  not_negative("bunsen", bunsen, "");
  positive("temperature_k", temperature_k, "K");
  return bunsen * temperature_k / t_normal_k;
}

double solution_rate_per_s(double d_m, double diffusivity_m2_per_s, double ostwald, double saturation) {
  positive("d_m", d_m, "m");
  not_negative("diffusivity_m2_per_s", diffusivity_m2_per_s, "m2/s");
  not_negative("ostwald", ostwald, "");
  not_negative("saturation", saturation, "");
  return 12 * diffusivity_m2_per_s * ostwald * std::fmax(0.0, 1 - saturation) / (d_m * d_m);
}

double bubble_life_s(double d0_m, double p_pa_abs, double diffusivity_m2_per_s, double ostwald,
                     double saturation_pa_abs) {
  positive("diffusivity_m2_per_s", diffusivity_m2_per_s, "m2/s");
  positive("ostwald", ostwald, "");
  not_negative("saturation_pa_abs", saturation_pa_abs, "Pa");
  const double radius = bubble_diameter_m(d0_m, p_pa_abs) / 2;
  if (saturation_pa_abs >= p_pa_abs) return std::numeric_limits<double>::infinity();
  return radius * radius / (2 * diffusivity_m2_per_s * ostwald * (1 - saturation_pa_abs / p_pa_abs));
}

double henry_pressure_pa_abs(double void_at_p0, double bunsen, double temperature_k) {
  positive("bunsen", bunsen, "");
  positive("temperature_k", temperature_k, "K");
  if (!(void_at_p0 >= 0 && void_at_p0 < 1))
    throw InputError("void_at_p0", number_text(void_at_p0), "", "must be from 0 to below 1");
  return p0_pa_abs * (1 + void_at_p0 / (1 - void_at_p0) * (t_normal_k / temperature_k) / bunsen);
}

double release_at_equilibrium(double bunsen, double temperature_k, double p_pa_abs) {
  positive("p_pa_abs", p_pa_abs, "Pa");
  return ostwald(bunsen, temperature_k) * std::fmax(0.0, p0_pa_abs - p_pa_abs) / p_pa_abs;
}

}  // namespace evenstroke
