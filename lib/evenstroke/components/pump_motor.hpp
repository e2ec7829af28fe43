#pragma once
#include "evenstroke/base/field.hpp"
#include "evenstroke/components/ramp.hpp"
#include "evenstroke/components/through_flow.hpp"

namespace evenstroke {

/// Permanent-magnet DC motor driving a gear pump, one direction, quasi-static speed; meters INLET volume.
///   omega = { U - (Ra/k) [D (1+Cf) dp + T0] } / (k + Ra Cv D mu / k)     speed-torque line with pump losses
///   q     = D omega - X Cs D dp / mu                                     delivered, >= 0 (outlet check valve)
///   I     = [D (1+Cf) dp + Cv D mu omega + T0] / k                       motor current
///   X     = mu/mu_mixture: gas in the gaps raises slip (1 = oil alone)
///   valid: dp from 0 to dead-head; steady oil
/// tests: tests/components/pump_motor_test.cpp, pump_gas_test.cpp
struct PumpMotor {
  double displacement_m3_per_rad = required;
  double supply_v = required;
  double motor_constant_v_s = 0.032;
  double armature_ohm = 0.12;
  double idle_torque_n_m = 0.03;       ///< T0
  double slip = 1e-7;                  ///< Cs [-]
  double drag = 1e5;                   ///< Cv [-]
  double dry_friction = 0.05;          ///< Cf [-]
  double suction_area_m2 = 5e-5;       ///< opening of intake and strainer; 0 = ideal, no loss
  double duty_s = 0;                   ///< so long it may run without a rest; 0 = not stated. Tells, limits nothing
};
template <>
std::span<const Field<PumpMotor>> fields<PumpMotor>();
void check(const PumpMotor&, const std::string& where);

template <class T = double>
struct PumpLaw {        ///< both are straight lines in dp
  T q0, q_slope;        ///< q = q0 - q_slope dp, before the outlet check valve
  T i0, i_slope;        ///< I = i0 + i_slope dp
  T q_round;            ///< width of the rounded corner at q = 0 [m3/s]
  T q_slip = T(0);      ///< part of q_slope that is slip; the rest is the motor slowing down
};
double idle_v(const PumpMotor&);   ///< only just turns it against nothing
PumpLaw<double> pump_law(const PumpMotor&, double mu_pa_s);
double speed_rad_per_s(const PumpMotor&, double mu_pa_s, double dp_pa_diff);
double dead_head_pa_diff(const PumpMotor&, double mu_pa_s);
/// X = mu/(void mu_air + (1 - void) mu), mixture by volume: 1 for oil ... mu/mu_air for air, when the prime is lost.
double pump_slip_factor(double void_share, double mu_pa_s);
/// Pressure at the pump's inlet: p0 + head - (rho/2) [q/(0.62 A)]^2, not below 1000 Pa (head: level over the inlet).
double suction_pa_abs(const PumpMotor&, double head_pa, double flow_m3_per_s, double rho_kg_per_m3);

/// From suction to delivery: pressure raised is p_to - p_from.
template <class T>
ThroughFlow<T> flow(const PumpLaw<T>& l, T p_from, T p_to, T slip_factor = T(1)) {
  const T q_slope = l.q_slope + (slip_factor - T(1)) * l.q_slip;
  const Ramp<T> r = ramp(l.q0 - q_slope * (p_to - p_from), l.q_round);
  const T slope = r.slope * q_slope;
  return {r.y, slope, -slope};
}

template <class T>
T current_a(const PumpLaw<T>& l, T p_from, T p_to) {
  return l.i0 + l.i_slope * (p_to - p_from);
}

}  // namespace evenstroke
