#pragma once
#include "evenstroke/rig/rig.hpp"

namespace evenstroke::testing {

/// Leaves only what a closed form is about: gas at the wall's temperature, nothing dissolves or is released, slugs do not
/// rise by themselves, bubbles are too small to rise and yet all leave in a reservoir as wide as a lake, oil of one
/// viscosity, breakaway that does not grow.
inline void still_air(Rig& r) {
  AirInputs& a = r.air;
  a.coarse_share = 0;
  a.fine_m = 1e-6;
  a.diffusivity_m2_per_s = 0;
  a.release_s = 1e12;
  a.pocket_heat = 0;
  a.slug_rise = 0;
  a.pull_through = 0;
  r.oil.pressure_viscosity_per_pa = 0;
  r.reservoir.area_m2 = 1e4;
  r.reservoir.intake_m = 0;
  r.reservoir.return_m = 0;
  r.reservoir.foam_s = 0;
  r.pump.suction_area_m2 = 0;
  for (Branch& b : r.branches) b.cylinder.dwell_growth = 0;
}

}  // namespace evenstroke::testing
