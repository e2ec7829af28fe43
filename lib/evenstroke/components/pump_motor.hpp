#pragma once
#include "evenstroke/base/field.hpp"
#include "evenstroke/components/ramp.hpp"
#include "evenstroke/components/through_flow.hpp"

namespace evenstroke {

/// Permanent-magnet DC motor driving a gear pump, one direction, quasi-static speed; meters INLET volume.
///   omega = { U - (Ra/k) [D (1+Cf) dp + T0] } / (k + Ra Cv D mu / k)     speed-torque line with pump losses
///   q     = D omega - Cs D dp / mu                                       delivered, >= 0 (outlet check valve)
///   I     = [D (1+Cf) dp + Cv D mu omega + T0] / k                       motor current
///   valid: dp from 0 to dead-head; steady oil viscosity                   tests: tests/components/pump_motor_test.cpp
struct PumpMotor {
  double displacement_m3_per_rad = required;
  double supply_v = required;
  double motor_constant_v_s = 0.032;
  double armature_ohm = 0.12;
  double idle_torque_n_m = 0.03;       ///< T0
  double slip = 1e-7;                  ///< Cs [-]
  double drag = 1e5;                   ///< Cv [-]
  double dry_friction = 0.05;          ///< Cf [-]
};
template <>
std::span<const Field<PumpMotor>> fields<PumpMotor>();
void check(const PumpMotor&, const std::string& where);

template <class T = double>
struct PumpLaw {        ///< both are straight lines in dp
  T q0, q_slope;        ///< q = q0 - q_slope dp, before the outlet check valve
  T i0, i_slope;        ///< I = i0 + i_slope dp
  T q_round;            ///< width of the rounded corner at q = 0 [m3/s]
};
PumpLaw<double> pump_law(const PumpMotor&, double mu_pa_s);
double speed_rad_per_s(const PumpMotor&, double mu_pa_s, double dp_pa_diff);
double dead_head_pa_diff(const PumpMotor&, double mu_pa_s);

/// From suction to delivery: pressure raised is p_to - p_from.
template <class T>
ThroughFlow<T> flow(const PumpLaw<T>& l, T p_from, T p_to) {
  const Ramp<T> r = ramp(l.q0 - l.q_slope * (p_to - p_from), l.q_round);
  const T slope = r.slope * l.q_slope;
  return {r.y, slope, -slope};
}

template <class T>
T current_a(const PumpLaw<T>& l, T p_from, T p_to) {
  return l.i0 + l.i_slope * (p_to - p_from);
}

}  // namespace evenstroke
