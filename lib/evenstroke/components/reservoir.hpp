#pragma once
#include "evenstroke/base/field.hpp"

namespace evenstroke {

/// Vented reservoir at p0: level from its oil volume; gas that arrives is vented; the pump draws air when the level
/// falls to the intake.   tests: tests/components/reservoir_test.cpp
struct Reservoir {
  double oil_m3 = 0.6e-3;        ///< oil at the start
  double area_m2 = 80e-4;        ///< free surface
  double intake_m = 0.02;        ///< height of the intake above the floor
  double capacity_m3 = 1.0e-3;   ///< above it the reservoir overflows (ledger "spilled")
};
template <>
std::span<const Field<Reservoir>> fields<Reservoir>();
void check(const Reservoir&, const std::string& where);
double level_m(const Reservoir&, double oil_m3);
/// Share of air in what the pump draws: 0 with the intake covered, 1 with the level at or below it.
double air_share(const Reservoir&, double oil_m3);

}  // namespace evenstroke
