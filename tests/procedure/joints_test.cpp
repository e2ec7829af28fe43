#include "evenstroke/procedure/joints.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "evenstroke/procedure/run.hpp"
#include "support/all_there.hpp"
#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::air_all_kg;
using testing::Bench;
using testing::near;
using testing::oil_all_kg;
using testing::workshop_rig;

TEST_SUITE("procedure/joints") {
  TEST_CASE("limit: a line that hangs half a metre below the block is let go as soon as its pressure is, and does not drain") {
    for (const double height_m : {0.0, -0.2, -0.5, -1.0}) {
      CAPTURE(height_m);
      Rig r = testing::workshop_rig(SynchroniserKind::tee);
      for (Branch& b : r.branches) b.cylinder.height_m = height_m;
      r.air.joint_m3 = 0;
      Step stand{.kind = StepKind::stand, .repeat = false, .stand_s = 1};
      stand.joints.parted = {"a.cap_port"};
      RunOptions o;
      o.checks = o.record = false;
      o.max_strokes = 1;
      const Run run = evenstroke::run(r, bled(r), {.name = "let go", .steps = {stand, {}}, .max_strokes = 1}, o);
      REQUIRE(run.steps.size() == 1);
      CHECK(run.steps[0].time_s < 3);
      CHECK(run.steps[0].drawn_in_m3 < 0.1e-6);
    }
  }
  TEST_CASE("balance: a joint that is made shuts in its air and spills the oil that stood there") {
    for (const char* joint : {"a.cap_port", "b.rod_port", "valve_block.a"}) {
      CAPTURE(joint);
      Bench b(workshop_rig(SynchroniserKind::tee));
      const double oil = oil_all_kg(b.c), air = air_all_kg(b.c), joint_m3 = b.net.rig.air.joint_m3;
      const double free_kg = total(b.c).gas_kg();
      make_joint(b.c, b.net, joint);
      const double m3 = (total(b.c).gas_kg() - free_kg) * b.net.gas_j_per_kg / p0_pa_abs;
      CHECK(near(m3, joint_m3, 1e-12, 0));
      CHECK(near(b.c.ledger.oil_spilled_kg, joint_m3 * b.net.rho0_kg_per_m3, 1e-9, 0));
      CHECK(near(oil_all_kg(b.c), oil, 1e-14, 0));
      CHECK(near(air_all_kg(b.c), air, 1e-14, 0));
      b.march.close(b.c);
      for (const double p : b.c.pressure_pa_abs) CHECK(near(p, p0_pa_abs, 1e-6, 0));   // room for room
    }
  }

  TEST_CASE("limit: joints that take no air in change nothing") {
    Rig r = workshop_rig(SynchroniserKind::tee);
    r.air.joint_m3 = 0;
    Bench b(r);
    const double gas = total(b.c).gas_kg();
    make_joint(b.c, b.net, "a.cap_port");
    CHECK(total(b.c).gas_kg() == gas);
    CHECK(b.c.ledger.oil_spilled_kg == 0);
  }

  TEST_CASE("balance: filling up brings both vessels to their marks, never takes oil out, and is in the books") {
    Bench b(workshop_rig(SynchroniserKind::tee));
    const double mark = b.c.reservoir.oil_kg, dip = b.c.container.oil_kg;
    b.c.reservoir.oil_kg *= 0.7;
    b.c.reservoir.dissolved_kg *= 0.7;
    b.c.container.oil_kg *= 1.2;
    const double oil = oil_all_kg(b.c), air = air_all_kg(b.c);
    refill(b.c, b.net);
    CHECK(near(b.c.reservoir.oil_kg, mark, 1e-14, 0));
    CHECK(near(b.c.container.oil_kg, 1.2 * dip, 1e-14, 0));
    CHECK(near(b.c.ledger.oil_refilled_kg, 0.3 * mark, 1e-12, 0));
    CHECK(near(oil_all_kg(b.c), oil, 1e-14, 0));
    CHECK(near(air_all_kg(b.c), air, 1e-14, 0));
  }
}
