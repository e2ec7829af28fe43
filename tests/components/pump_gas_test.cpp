#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "evenstroke/base/constants.hpp"
#include "evenstroke/base/error.hpp"
#include "evenstroke/components/pump_motor.hpp"
#include "support/dual.hpp"
#include "support/near.hpp"

using namespace evenstroke;

namespace {

constexpr double k_mu = 870 * 22e-6;

PumpMotor pack() {
  PumpMotor p;
  p.displacement_m3_per_rad = 0.24e-6 / (2 * std::numbers::pi);
  p.supply_v = 12;
  return p;
}

}  // namespace

TEST_SUITE("components/pump_gas") {
  TEST_CASE("limit: slip is that of oil without gas and that of air in gas alone") {
    CHECK(pump_slip_factor(0, k_mu) == 1.0);
    CHECK(near(pump_slip_factor(1, k_mu), k_mu / 1.82e-5, 1e-12, 0));
    CHECK(pump_slip_factor(-1e-17, k_mu) == 1.0);
    CHECK(pump_slip_factor(1 + 1e-15, k_mu) == pump_slip_factor(1, k_mu));
  }

  TEST_CASE("law: slip of a mixture lies between and rises with the gas") {
    double before = 1;
    for (double gas = 0.05; gas < 1; gas += 0.05) {
      CAPTURE(gas);
      const double x = pump_slip_factor(gas, k_mu);
      CHECK(x > before);
      before = x;
    }
    CHECK(near(pump_slip_factor(0.5, k_mu), 2, 2e-3, 0));   // the air's own viscosity hardly counts
  }

  TEST_CASE("balance: gas raises the slip and leaves the motor's speed line alone") {
    const PumpMotor p = pack();
    const PumpLaw<> l = pump_law(p, k_mu);
    for (double x : {1.0, 2.0, 30.0}) {
      const double dp = 2e5, d = p.displacement_m3_per_rad;
      CAPTURE(x);
      CHECK(near(flow(l, 1e5, 1e5 + dp, x).q, d * speed_rad_per_s(p, k_mu, dp) - x * p.slip * d * dp / k_mu, 1e-11, 0));
    }
    CHECK(flow(l, 1e5, 20e5, 1.0).q == flow(l, 1e5, 20e5).q);
  }

  TEST_CASE("limit: a pump full of air cannot raise the pressure that oil lets it raise: the prime is lost") {
    const PumpLaw<> l = pump_law(pack(), k_mu);
    const double air = pump_slip_factor(1, k_mu);
    CHECK(flow(l, 1e5, 91e5, air).q == 0.0);
    CHECK(flow(l, 1e5, 91e5, 1.0).q > 0.7 * l.q0);
  }

  TEST_CASE("derivative: slopes with gas agree with dual numbers, on the line and in the corner") {
    const PumpLaw<> l = pump_law(pack(), k_mu);
    const PumpLaw<Dual> dual{Dual(l.q0), Dual(l.q_slope), Dual(l.i0), Dual(l.i_slope), Dual(l.q_round), Dual(l.q_slip)};
    const double x = 8, shut = l.q0 / (l.q_slope + (x - 1) * l.q_slip);
    for (double dp : {1e5, 28e5, 0.998 * shut, 1.003 * shut, 2 * shut}) {
      CAPTURE(dp);
      const ThroughFlow<double> f = flow(l, 1e5, 1e5 + dp, x);
      CHECK(near(f.dq_dfrom, flow(dual, Dual(1e5, 1), Dual(1e5 + dp), Dual(x)).q.d, 1e-11, 0));
      CHECK(near(f.dq_dto, flow(dual, Dual(1e5), Dual(1e5 + dp, 1), Dual(x)).q.d, 1e-11, 0));
    }
  }

  TEST_CASE("law: suction falls with the square of the flow and rises with the level") {
    const PumpMotor p = pack();
    CHECK(suction_pa_abs(p, 0, 0, 870) == p0_pa_abs);
    CHECK(suction_pa_abs(p, 600, 0, 870) == p0_pa_abs + 600);
    const double once = p0_pa_abs - suction_pa_abs(p, 0, 5e-5, 870), twice = p0_pa_abs - suction_pa_abs(p, 0, 1e-4, 870);
    CHECK(near(twice, 4 * once, 1e-9, 0));
    const double speed = 1e-4 / (0.62 * p.suction_area_m2);
    CHECK(near(twice, 870 * speed * speed / 2, 1e-9, 0));
  }

  TEST_CASE("limit: an ideal intake loses nothing, a blocked one never pulls below 10 mbar") {
    PumpMotor p = pack();
    p.suction_area_m2 = 0;
    CHECK(suction_pa_abs(p, -300, 1e-4, 870) == p0_pa_abs - 300);
    p.suction_area_m2 = 1e-8;
    CHECK(suction_pa_abs(p, 0, 1e-4, 870) == 1000.0);
  }

  TEST_CASE("check: an oil without viscosity and an opening that cannot be are refused") {
    CHECK_THROWS_AS(pump_slip_factor(0.5, 0), InputError);
    PumpMotor p = pack();
    p.suction_area_m2 = -1e-6;
    CHECK_THROWS_AS(check(p, "pump"), InputError);
    p.suction_area_m2 = 50;   // mm2 where m2 belong
    CHECK_THROWS_AS(check(p, "pump"), InputError);
  }
}
