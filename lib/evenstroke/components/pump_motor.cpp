#include "evenstroke/components/pump_motor.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "evenstroke/base/argument.hpp"
#include "evenstroke/base/constants.hpp"
#include "evenstroke/components/refuse.hpp"

namespace evenstroke {

template <>
std::span<const Field<PumpMotor>> fields<PumpMotor>() {
  using P = PumpMotor;
  using enum Quantity;
  static constexpr std::array<Field<P>, 10> table = {{
      {"displacement", &P::displacement_m3_per_rad, displacement, 1e-9, 1e-5, no_band, no_band, "nameplate",
       "Volume the pump moves per angle turned."},
      {"supply", &P::supply_v, voltage, 1, 400, no_band, no_band, "nameplate", "Voltage at the motor's terminals."},
      {"motor_constant", &P::motor_constant_v_s, motor_constant, 1e-3, 10, no_band, no_band, "pack_motor",
       "Voltage per speed, equal to torque per current."},
      {"armature", &P::armature_ohm, resistance, 1e-3, 100, no_band, no_band, "pack_motor",
       "Resistance of the armature with brushes and leads."},
      {"idle_torque", &P::idle_torque_n_m, torque, 0, 10, no_band, no_band, "pack_motor",
       "Friction torque of motor and pump that depends on nothing."},
      {"slip", &P::slip, pump_slip, 0, 1e-5, 5e-8, 3e-7, "pump_slip",
       "Internal leakage of the pump: slip coefficient of Wilson's model."},
      {"drag", &P::drag, pump_drag, 0, 1e7, no_band, no_band, "pump_drag",
       "Torque from oil sheared in the pump: drag coefficient of Wilson's model."},
      {"dry_friction", &P::dry_friction, ratio, 0, 1, no_band, no_band, "pump_dry_friction",
       "Torque lost in the pump as a share of that doing work on the oil."},
      {"suction_area", &P::suction_area_m2, area, 0, 1e-2, no_band, no_band, "suction_opening",
       "Opening of intake and strainer; 0 = no loss."},
      {"duty", &P::duty_s, time, 0, 86400, no_band, no_band, "nameplate",
       "Longest time the motor may run without a rest; 0 = not stated. A run tells where it is exceeded."},
  }};
  return table;
}

namespace {

/// omega = w0 - w_slope dp
struct SpeedLine {
  double w0, w_slope;
};
SpeedLine speed_line(const PumpMotor& p, double mu_pa_s) {
  positive("mu_pa_s", mu_pa_s, "Pa s");
  const double ohm_per_k = p.armature_ohm / p.motor_constant_v_s;
  const double volt_per_speed =
      p.motor_constant_v_s + p.armature_ohm * p.drag * p.displacement_m3_per_rad * mu_pa_s / p.motor_constant_v_s;
  return {(p.supply_v - ohm_per_k * p.idle_torque_n_m) / volt_per_speed,
          ohm_per_k * p.displacement_m3_per_rad * (1 + p.dry_friction) / volt_per_speed};
}

}  // namespace

double idle_v(const PumpMotor& p) { return p.armature_ohm * p.idle_torque_n_m / p.motor_constant_v_s; }

void check(const PumpMotor& p, const std::string& where) {
  check_fields(p, where);
  if (p.supply_v <= idle_v(p))
    refuse(where, "supply", Quantity::voltage, p.supply_v,
           "must exceed the voltage that only just turns the idle pump, " + number_text(idle_v(p)) + " V");
}

PumpLaw<double> pump_law(const PumpMotor& p, double mu_pa_s) {
  const SpeedLine s = speed_line(p, mu_pa_s);
  const double d = p.displacement_m3_per_rad, k = p.motor_constant_v_s, drag = p.drag * d * mu_pa_s;
  const double q0 = d * s.w0;
  // The corner is a hundredth of the free flow wide: at most 0.125 % of it is added, and only at the dead-head.
  return {q0, d * s.w_slope + p.slip * d / mu_pa_s, (drag * s.w0 + p.idle_torque_n_m) / k,
          (d * (1 + p.dry_friction) - drag * s.w_slope) / k, 0.01 * q0, p.slip * d / mu_pa_s};
}

double speed_rad_per_s(const PumpMotor& p, double mu_pa_s, double dp_pa_diff) {
  const SpeedLine s = speed_line(p, mu_pa_s);
  return std::max(0.0, s.w0 - s.w_slope * dp_pa_diff);
}

double pump_slip_factor(double void_share, double mu_pa_s) {
  positive("mu_pa_s", mu_pa_s, "Pa s");
  const double gas = std::clamp(void_share, 0.0, 1.0);
  return mu_pa_s / (gas * mu_air_pa_s + (1 - gas) * mu_pa_s);
}

double suction_pa_abs(const PumpMotor& p, double head_pa, double flow_m3_per_s, double rho_kg_per_m3) {
  constexpr double least_pa_abs = 1000, cd = 0.62;   // a sharp edge, Merritt 1967, from memory
  const double speed = p.suction_area_m2 > 0 ? flow_m3_per_s / (cd * p.suction_area_m2) : 0.0;
  return std::max(least_pa_abs, p0_pa_abs + head_pa - rho_kg_per_m3 / 2 * speed * speed);
}

double dead_head_pa_diff(const PumpMotor& p, double mu_pa_s) {
  const PumpLaw<double> l = pump_law(p, mu_pa_s);
  return l.q0 / l.q_slope;
}

}  // namespace evenstroke
