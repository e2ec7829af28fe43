#include "evenstroke/components/pump_motor.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "support/dual.hpp"
#include "support/near.hpp"
#include "components/refused.hpp"

// Worked examples below are quoted as printed in the open textbook companion of FOSSEE.
using namespace evenstroke;

namespace {

constexpr double two_pi = 2 * std::numbers::pi;
constexpr double k_mu = 870 * 22e-6;

PumpMotor pack() {
  PumpMotor p;
  p.displacement_m3_per_rad = 0.24e-6 / two_pi;
  p.supply_v = 12;
  return p;
}

/// A machine without any loss but those a test adds.
PumpMotor ideal(double displacement_m3_per_rad, double supply_v, double motor_constant_v_s) {
  PumpMotor p;
  p.displacement_m3_per_rad = displacement_m3_per_rad;
  p.supply_v = supply_v;
  p.motor_constant_v_s = motor_constant_v_s;
  p.armature_ohm = p.idle_torque_n_m = p.slip = p.drag = p.dry_friction = 0;
  return p;
}

}  // namespace

TEST_SUITE("components/pump_motor") {
  TEST_CASE("balance: voltage, torque and flow close at every pressure") {
    const PumpMotor p = pack();
    const PumpLaw<> l = pump_law(p, k_mu);
    for (double dp : {0.0, 28e5, 90e5, 200e5, 350e5}) {
      CAPTURE(dp);
      const double omega = speed_rad_per_s(p, k_mu, dp), d = p.displacement_m3_per_rad;
      const double current = current_a(l, 1e5, 1e5 + dp);
      CHECK(near(p.armature_ohm * current + p.motor_constant_v_s * omega, p.supply_v, 1e-12, 0));
      CHECK(near(d * dp * (1 + p.dry_friction) + p.drag * d * k_mu * omega + p.idle_torque_n_m,
                 p.motor_constant_v_s * current, 1e-12, 0));
      CHECK(near(flow(l, 1e5, 1e5 + dp).q, d * omega - p.slip * d * dp / k_mu, 1e-12, 0));
    }
  }

  TEST_CASE("balance: hydraulic power is less than electrical power") {
    const PumpLaw<> l = pump_law(pack(), k_mu);
    for (double dp : {5e5, 28e5, 90e5, 300e5}) {
      CAPTURE(dp);
      const double share = flow(l, 0.0, dp).q * dp / (12 * current_a(l, 0.0, dp));
      CHECK(share > 0);
      CHECK(share < 1);
    }
  }

  TEST_CASE("limit: nothing is delivered beyond the dead-head and nothing ever comes back") {
    const PumpLaw<> l = pump_law(pack(), k_mu);
    const double dead_head = dead_head_pa_diff(pack(), k_mu);
    CHECK(near(flow(l, 0.0, dead_head).q, 0, 0, 0.00126 * l.q0));
    CHECK(flow(l, 0.0, 1.01 * dead_head).q == 0.0);
    CHECK(flow(l, 0.0, 3 * dead_head).q == 0.0);
    CHECK(flow(l, 0.0, 0.9 * dead_head).q > 0);
    CHECK(speed_rad_per_s(pack(), k_mu, 100 * dead_head) == 0.0);
  }

  TEST_CASE("law: the dead-head is where slip takes all the pump moves") {
    const PumpMotor p = pack();
    const double dp = dead_head_pa_diff(p, k_mu);
    CHECK(near(speed_rad_per_s(p, k_mu, dp), p.slip * dp / k_mu, 1e-12, 0));
  }

  TEST_CASE("derivative: both slopes agree with dual numbers, on the line, in the corner and shut") {
    const PumpLaw<> l = pump_law(pack(), k_mu);
    const PumpLaw<Dual> dual{Dual(l.q0), Dual(l.q_slope), Dual(l.i0), Dual(l.i_slope), Dual(l.q_round)};
    const double dead_head = dead_head_pa_diff(pack(), k_mu);
    for (double dp : {-1e5, 28e5, 0.998 * dead_head, 1.003 * dead_head, 2 * dead_head}) {
      CAPTURE(dp);
      const ThroughFlow<double> f = flow(l, 1e5, 1e5 + dp);
      CHECK(near(f.dq_dfrom, flow(dual, Dual(1e5, 1), Dual(1e5 + dp)).q.d, 1e-11, 0));
      CHECK(near(f.dq_dto, flow(dual, Dual(1e5), Dual(1e5 + dp, 1)).q.d, 1e-11, 0));
    }
  }

  TEST_CASE("reference: no-load speed and stall torque of a permanent-magnet motor") {
    // S. P. Burman, Special Electrical Machines, Example 4.4, 0.12 V s: 3819.7 rpm at 48 V;
    // stalled at 46 V and 0.3 ohm: 18.4 N m
    CHECK(near(speed_rad_per_s(ideal(1e-6, 48, 0.12), k_mu, 0), 3819.7 / 60 * two_pi, 5e-4, 0));
    PumpMotor stalled = ideal(1e-6, 46, 0.12);
    stalled.armature_ohm = 0.3;
    CHECK(near(speed_rad_per_s(stalled, k_mu, 18.4 / 1e-6), 0, 0, 1e-6 * 383));
    CHECK(speed_rad_per_s(stalled, k_mu, 18.3 / 1e-6) > 0);
  }

  TEST_CASE("reference: ideal torque of 82 cm3/rev at 70 bar") {
    // A. Esposito, Example 7-5: 82 cm3 per revolution, 70 bar: 91.4 N m
    const PumpLaw<> l = pump_law(ideal(82e-6 / two_pi, 12, 1.0), k_mu);
    CHECK(near(1.0 * current_a(l, 0.0, 70e5), 91.4, 1e-3, 0));
  }

  TEST_CASE("reference: flow left after internal slip") {
    // J. Sullivan, Fluid Power, 4th ed., Example 14.3: 12.29 cm3/rev at 20 rev/s, slip 0.5 gpm: 3.40 gpm, 87.17 %
    const double slip_flow = 3.15450982e-5, dp = 70e5, d = 1.2290298e-5 / two_pi;
    PumpMotor p = ideal(d, 20 * two_pi, 1.0);
    p.slip = slip_flow * k_mu / (d * dp);
    const double q = flow(pump_law(p, k_mu), 0.0, dp).q;
    CHECK(near(q, 2.145066678e-4, 3e-3, 0));
    CHECK(near(q / flow(pump_law(p, k_mu), 0.0, 0.0).q, 0.8717, 5e-4, 0));
  }

  TEST_CASE("check: nonsense is refused by name") {
    CHECK(refused(pack()) == "");
    const auto with = [](double PumpMotor::*member, double value) {
      PumpMotor p = pack();
      p.*member = value;
      return refused(p);
    };
    CHECK(with(&PumpMotor::displacement_m3_per_rad, required) == "part.displacement_m3_per_rad");
    CHECK(with(&PumpMotor::displacement_m3_per_rad, 0.24) == "part.displacement_m3_per_rad");
    CHECK(with(&PumpMotor::supply_v, -12) == "part.supply_v");
    CHECK(with(&PumpMotor::motor_constant_v_s, 0) == "part.motor_constant_v_s");
    CHECK(with(&PumpMotor::armature_ohm, 0) == "part.armature_ohm");
    CHECK(with(&PumpMotor::idle_torque_n_m, -0.1) == "part.idle_torque_n_m");
    CHECK(with(&PumpMotor::slip, -1e-8) == "part.slip");
    CHECK(with(&PumpMotor::drag, std::nan("")) == "part.drag");
    CHECK(with(&PumpMotor::dry_friction, 2) == "part.dry_friction");
    CHECK_THROWS_AS(pump_law(pack(), 0), InputError);
  }

  TEST_CASE("check: a supply that cannot turn the idle pump is refused") {
    PumpMotor p = pack();
    p.idle_torque_n_m = 4;  // 15 V
    CHECK(refused(p) == "part.supply_v");
  }
}
