#pragma once
#include "evenstroke/base/field.hpp"
#include "evenstroke/components/counterbalance.hpp"
#include "evenstroke/components/ramp.hpp"
#include "evenstroke/components/through_flow.hpp"

namespace evenstroke {

/// open: four-way valve, return to the reservoir. closed: the pump turns both ways between A and B, closed_circuit.hpp.
enum class CircuitKind { open, closed };

/// Valve block: four-way directional valve (P to A or B, the other to the reservoir), relief at P, its passages.
/// Datum of all heights. The path A -> reservoir carries the lowering restrictor or a counterbalance valve, opened by
/// its load and by the pressure at B (components/counterbalance.hpp); the path B -> reservoir a restrictor for a panel that
/// pulls its rods.   tests: tests/components/valve_block_test.cpp
struct ValveBlock {
  CircuitKind circuit = CircuitKind::open;
  double path_area_m2 = 7e-6;              ///< opening of each valve path
  double lowering_area_m2 = 7e-6;          ///< opening of the path A -> reservoir
  double lifting_area_m2 = 0.0;            ///< opening of the path B -> reservoir; 0 = as path_area_m2
  double discharge = 0.62;                 ///< coefficient of all openings: paths, bypass valves, ports [-]
  double transition_re = 1000;             ///< of the paths, the bypass valves and the ports; 10 to 1000 in practice
  double relief_pa_gauge = 90e5;           ///< cracking pressure of the relief valve
  double relief_gain_m3_per_s_pa = 2e-11;  ///< flow per pressure above cracking
  double passage_m3 = 2e-6;                ///< volume of each of the passages P, A, B
  double high_point_m3 = 0.0;              ///< part of each passage above its mouths, where gas stays
  double counterbalance_pa_gauge = 0.0;    ///< pressure at A that opens the counterbalance valve alone; 0 = none
  double pilot_ratio = 3.0;                ///< of the counterbalance valve: pilot area over that of the load [-]
  double counterbalance_gain_m3_per_s_pa = 1e-10;  ///< flow per pressure above opening
  double bleed_area_m2 = 1e-7;             ///< opening of a bleed screw that is cracked, anywhere in the circuit
  double rating_pa_gauge = 0;              ///< pressure it is made for; 0 = not stated
};
template <>
std::span<const Field<ValveBlock>> fields<ValveBlock>();
void check(const ValveBlock&, const std::string& where);

/// Relief: q = G * ramp(p_from - p_to - p_crack), the corner rounded over `round_pa` (quadratic), slope continuous:
/// it weeps from half of `round_pa` below cracking and is the straight line from half above.
template <class T = double>
struct ReliefLaw {
  T crack_pa_diff, gain, round_pa_diff = T(1e5);
};
template <class T>
ThroughFlow<T> flow(const ReliefLaw<T>& r, T p_from, T p_to) {
  const Ramp<T> open = ramp(p_from - p_to - r.crack_pa_diff, r.round_pa_diff);
  const T slope = r.gain * open.slope;
  return {r.gain * open.y, slope, -slope};
}

}  // namespace evenstroke
