#pragma once
#include "evenstroke/base/field.hpp"

namespace evenstroke {

/// What is assumed of the air, and how it moves and dissolves. The first air is fine bubbles, coarse bubbles and, for
/// the rest, pockets. Diameters at p0; under pressure d = d0 (p0/p)^(1/3).
/// tests: tests/components/air_inputs_test.cpp
struct AirInputs {
  double joint_m3 = 0.5e-6;                ///< air taken in by one opened joint, at p0
  double dispersed_share = 0.1;            ///< share of the first air that is fine bubbles [-]
  double coarse_share = 0.2;               ///< share of the first air that is coarse bubbles [-]
  double coarse_m = 1.0e-3;                ///< diameter of a coarse bubble at p0
  double fine_m = 0.12e-3;                 ///< diameter of a fine bubble at p0
  double slug_slip = 0.7;                  ///< 0 = plug flow, 1 = full slip law k(Ca) [-]
  double slug_ratio = 0.0;                 ///< a constant k for slugs instead of k(Ca), scaled alike; 0 = use the law [-]
  double slug_rise = 1.0;                  ///< multiplies the rise of slugs by buoyancy; 0 = none [-]
  double surface_tension_n_per_m = 0.030;
  double bunsen = 0.09;                    ///< air dissolved at 1 atm per oil volume, as gas at 0 deg C and 1 atm [-]
  double diffusivity_m2_per_s = 3e-10;     ///< of air in oil; 0 = no bubble dissolves or grows by diffusion
  double release_s = 10;                   ///< time in which supersaturated oil gives off its excess
  double saturation = 1.0;                 ///< dissolved air at the start over its equilibrium at p0 [-]
  double pocket_heat = 1.0;                ///< multiplies the thermal time of pockets; 0 = isothermal, 1 = law [-]
  double pull_through = 0.0;               ///< of the dip above a port that draws; 0 = none, 0.69 without viscosity [-]
  double crowding = 4.65;                  ///< bubbles rise at (1 - void)^crowding of one bubble's speed [-]
  double froth = 0.75;                     ///< void above which bubbles no longer hold together and are a slug [-]
  double cavity_pa_abs = 1000;             ///< no oil is drawn below it: vapour and gas it gives off keep it up
  double shredding = 1.0;                  ///< share of coarse bubbles and slugs that the pump tears to fine ones [-]
};
template <>
std::span<const Field<AirInputs>> fields<AirInputs>();
void check(const AirInputs&, const std::string& where);

}  // namespace evenstroke
