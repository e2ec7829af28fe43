#pragma once
#include "evenstroke/base/field.hpp"

namespace evenstroke {

/// What is assumed of the air and how it moves in lines.   tests: tests/components/air_inputs_test.cpp
struct AirInputs {
  double joint_m3 = 0.5e-6;                ///< air taken in by one opened joint, at p0
  double dispersed_share = 0.1;            ///< share of the first air that is bubbles too fine to rise [-]
  double slug_slip = 0.7;                  ///< 0 = plug flow, 1 = full slip law k(Ca) [-]
  double slug_ratio = 0.0;                 ///< a constant k for slugs instead of k(Ca); 0 = use the law [-]
  double surface_tension_n_per_m = 0.030;
};
template <>
std::span<const Field<AirInputs>> fields<AirInputs>();
void check(const AirInputs&, const std::string& where);

}  // namespace evenstroke
