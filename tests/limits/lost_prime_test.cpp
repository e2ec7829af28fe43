// A pump that draws air: its gaps let a thousand times as much slip back, so it holds a thousandth of the pressure.
//   dead-head  p = D omega_0/(q_slope), q_slope = slip of oil times mu/mu_air, and the motor's own droop
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "evenstroke/procedure/run.hpp"
#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::Bench;
using testing::bench_rig;

namespace {

constexpr double still_air_pa_s = 1.82e-5, slip = 1e-7;   // air at 20 deg C, from memory
constexpr Drive extending{.motor = true, .extend = true, .on_panel = true};

Rig dry_rig(double load_pa) {
  Rig r = bench_rig(1, SynchroniserKind::tee, 6e-6);
  r.pump.slip = slip;
  r.reservoir = {.oil_m3 = 0.3e-3, .area_m2 = 0.02, .intake_m = 0.02, .capacity_m3 = 2e-3, .return_m = 0, .foam_s = 0};
  r.branches[0].cylinder.viscous_n_s_per_m = 400;
  r.branches[0].cylinder.breakaway_pa_diff = 1e3;
  r.panel.mass_kg = load_pa * cap_area_m2(r.branches[0].cylinder) / gravity_m_per_s2;
  return r;
}

}  // namespace

TEST_SUITE("limits/lost_prime") {
  TEST_CASE("limit: with the level under the intake a pump lifts no load beyond the dead-head of air in its gaps") {
    const Rig rig = dry_rig(1e5);
    const double mu = 46e-6 * density(rig.oil, 313.15);
    const double q0 = rig.pump.displacement_m3_per_rad * rig.pump.supply_v / rig.pump.motor_constant_v_s;
    const double dead_pa = q0 * still_air_pa_s / (slip * rig.pump.displacement_m3_per_rad);   // motor droop: 1e-5
    MESSAGE("dead-head of air " << dead_pa / 1e5 << " bar, of oil " << dead_pa * mu / still_air_pa_s / 1e5);
    for (const double share : {0.9, 1.15}) {
      CAPTURE(share);
      Bench b(dry_rig(share * dead_pa));
      b.drive(extending, 60);
      const double p = b.pressure("valve_block.p") - p0_pa_abs;
      if (share < 1) CHECK(b.c.position_m[0] > 1e-3);
      if (share > 1) {
        CHECK(b.c.position_m[0] == 0.0);
        // The law's corner at no flow is 1 % of q0 wide: half of it lies beyond.
        CHECK(near(p, 1.005 * dead_pa, 1e-3, 0));
        MESSAGE("pressure off by " << p / (1.005 * dead_pa) - 1);
        CHECK(b.c.ledger.air_ingested_kg > 0.0);
      }
    }
  }

  TEST_CASE("limit: filled up above the intake it delivers again") {
    Rig r = dry_rig(28e5);
    Bench b(r);
    b.drive(extending, 10);
    CHECK(b.c.position_m[0] == 0.0);
    Contents c = b.c;
    c.reservoir.oil_kg += 0.7e-3 * b.net.rho0_kg_per_m3;
    b.take(c);
    b.drive(extending, 20);
    CHECK(b.c.position_m[0] > 0.2);
  }
}
