#pragma once
#include "evenstroke/base/field.hpp"

namespace evenstroke {

/// Vented reservoir at p0: level from its oil volume; the pump draws air when the level falls to the intake. Gas that
/// arrives stands as foam until it collapses. A return whose mouth is above the level plunges and carries air under:
/// plunge_share of the oil's volume, less what a slow jet does not carry.   tests: tests/components/reservoir_test.cpp
struct Reservoir {
  double oil_m3 = 0.6e-3;              ///< oil at the start
  double area_m2 = 80e-4;              ///< free surface
  double intake_m = 0.02;              ///< height of the intake above the floor
  double capacity_m3 = 1.0e-3;         ///< above it the reservoir overflows (ledger "spilled")
  double height_m = 0.0;               ///< of the floor above the valve block
  double return_m = 0.03;              ///< height of the return's mouth above the floor
  double return_bore_m = 8e-3;         ///< bore of the return's mouth
  double plunge_onset_m_per_s = 1.0;   ///< speed of a falling jet below which it carries no air under
  double plunge_share = 0.1;           ///< air carried under per volume of oil by a very fast jet, at p0 [-]
  double foam_s = 60;                  ///< time in which foam collapses; 0 = at once
  double container_m3 = 0.5e-3;        ///< oil in the container that open ends are held into; of the reservoir's shape
};
template <>
std::span<const Field<Reservoir>> fields<Reservoir>();
void check(const Reservoir&, const std::string& where);
double level_m(const Reservoir&, double oil_m3);
/// Share of air in what the pump draws: 0 with the intake covered, 1 with the level at or below it.
double air_share(const Reservoir&, double oil_m3);

}  // namespace evenstroke
