#pragma once
#include "evenstroke/network/network.hpp"
#include "evenstroke/transport/queue.hpp"

namespace evenstroke {

/// An open vessel as a part of the circuit: bubbles that arrive are removed by rise time and area (Hazen) while oil
/// flows through; the rest stays in suspension, is drawn in again by the intake, and settles out when the oil stands
/// still (front form). What is removed stands as foam, which collapses in time; then it is vented. A return above the
/// level plunges and carries air under. Slugs burst at the surface. Oil that holds too much dissolved air gives it to
/// the air above; it takes none in through the surface, which is slow.   tests: tests/transport/tank_test.cpp
struct Vessel {
  Reservoir shape;
  double rho0_kg_per_m3, gas_j_per_kg, equilibrium_kg_per_m3;   ///< dissolved air per oil volume at p0
  double rise_coarse_m_per_s, rise_fine_m_per_s;                ///< of one bubble at p0
  double solution_s;             ///< time in which dissolved air beyond equilibrium leaves; 1e12 and more = never
  double plunge_onset_m_per_s, plunge_share, pull_through;
};
Vessel vessel(const Network&);                                  ///< of the reservoir; a container has the same shape

/// Height of the surface above the floor, bubbles included; foam stands on top of it.
double level_m(const Tank&, const Vessel&);
/// What a return brings in one quantum. Above the brim the mixture runs over: its oil is spilled, its air vented.
void receive(Tank&, const Vessel&, const Bundle&, double duration_s, Ledger&);
/// What an intake draws: oil with its bubbles and dissolved air; air once the level (less the pull-through) is at the
/// intake, foam first. `at_first`: as it was before others drew in the same quantum; while there is enough each draws of
/// that, so that equal intakes get the same to the last bit.
Bundle draw(Tank&, const Vessel&, double volume_m3, double duration_s, Ledger&, const Tank* at_first = nullptr);
Bundle peek(const Tank&, const Vessel&, double volume_m3, double duration_s);
/// Time passes: bubbles rise, foam collapses, dissolved air evens out. `stirred`: too much flowed in this quantum for them to.
void rest(Tank&, const Vessel&, double duration_s, bool stirred, Ledger&);

}  // namespace evenstroke
