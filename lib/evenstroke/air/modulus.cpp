#include "evenstroke/air/modulus.hpp"

namespace evenstroke {

double gas_density(double p_pa_abs, double temperature_k) { return p_pa_abs / (air_gas_constant * temperature_k); }
double free_air_kg(double free_air_m3) { return free_air_m3 * gas_density(p0_pa_abs, t0_k); }
double free_air_m3(double mass_kg) { return mass_kg / gas_density(p0_pa_abs, t0_k); }
double gas_energy_j(double mass_kg, double temperature_k) { return mass_kg * air_gas_constant * temperature_k; }
double gas_volume_m3(double mass_kg, double p_pa_abs, double temperature_k) {
  return gas_energy_j(mass_kg, temperature_k) / p_pa_abs;
}

}  // namespace evenstroke
