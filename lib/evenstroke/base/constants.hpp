#pragma once

namespace evenstroke {

inline constexpr double p0_pa_abs = 101325.0;           ///< standard atmosphere: reference of every "free air" volume
inline constexpr double t0_k = 293.15;                  ///< 20 deg C, the temperature of the reference
inline constexpr double air_gas_constant = 287.055;     ///< J/(kg K), dry air (molar gas constant over 28.9647 g/mol)
inline constexpr double gravity_m_per_s2 = 9.80665;     ///< standard gravity
inline constexpr double mu_air_pa_s = 1.82e-5;          ///< viscosity of air at 20 deg C (handbook value, from memory)

}  // namespace evenstroke
