// Cylinders off their lines, ports under oil: pushed in fast, the growing rod side is sucked below the atmosphere, lets
// go of dissolved air and draws some past its seal; slowly it does not. And what a container gives back.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "evenstroke/air/bubble.hpp"
#include "evenstroke/procedure/run.hpp"
#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::Bench;
using testing::bench_rig;

namespace {

constexpr double seal_crack_pa = 0.2e5, discharge = 0.62, port_bore_m = 2e-3;

Rig hand_rig() {
  Rig r = bench_rig(1, SynchroniserKind::tee, 6e-6);
  r.oil = oil_by_grade(10);
  r.oil.temperature_k = 313.15;
  r.oil.pressure_viscosity_per_pa = 0;
  r.valve_block.transition_re = 10;
  r.air.release_s = 1;
  Branch& b = r.branches[0];
  b.cap_line.bore_m = 8e-3;
  b.rod_line.bore_m = port_bore_m;   // the port is as wide as its line
  b.cylinder.viscous_n_s_per_m = 1;
  b.cylinder.breakaway_pa_diff = 1e4;
  b.cylinder.seal_m3_per_s_pa = 1e-11;
  b.cylinder.seal_crack_pa_diff = seal_crack_pa;
  r.reservoir.container_m3 = 1e-3;
  r.air.joint_m3 = 0;
  return r;
}

Connections under_oil(double hand_n, double hand_m_per_s) {
  Connections j;
  j.parted = {"a.cap_port", "a.rod_port"};
  j.port = Opening::container;
  j.by_hand = {"a"};
  j.hand_n = hand_n;
  j.hand_m_per_s = hand_m_per_s;
  return j;
}

struct Push { double speed_m_per_s, lowest_pa_abs, released_kg, ingested_kg; };

/// Pushes the rod in from its upper stop.
Push push(double hand_m_per_s) {
  const Rig r = hand_rig();
  Bench b(r, {}, under_oil(2000, hand_m_per_s));   // a strong hand keeps nearly to its speed
  b.c.position_m[0] = b.cylinder().stroke_m;
  b.fill();
  Push p{0, 1e9, 0, 0};
  const double t = b.c.time_s;
  b.drive({.hand = -1}, 100, [&](const Contents& c, const FlowEngine::Quantum&) {
    p.lowest_pa_abs = std::min(p.lowest_pa_abs, c.pressure_pa_abs[b.index("a.rod_chamber")]);
    return c.position_m[0] <= 0.05 * b.cylinder().stroke_m;
  });
  p.speed_m_per_s = 0.95 * b.cylinder().stroke_m / (b.c.time_s - t);
  p.released_kg = total(b.c).gas_kg();
  p.ingested_kg = b.c.ledger.air_ingested_kg;
  return p;
}

}  // namespace

TEST_SUITE("limits/by_hand") {
  TEST_CASE("limit: a hand's push draws air past the rod seal once the port drops the seal's opening pressure") {
    const Rig r = hand_rig();
    const double ar = rod_area_m2(r.branches[0].cylinder), port = area_m2(r.branches[0].rod_line);
    const double rho = density(r.oil, r.oil.temperature_k);
    // (rho/2) (v A_r/(Cd A_port))^2 = crack; a little less, for the port is laminar at first: a = nu Re_t/(2 Cd d)
    const double a = 10e-6 * 10 / (2 * discharge * port_bore_m);
    const double jet = std::sqrt(a * a + 2 * seal_crack_pa / rho) - a, limit = discharge * port * jet / ar;
    for (const double share : {1.15, 2.0}) {
      CAPTURE(share);
      const Push p = push(share * limit);
      const double u = p.speed_m_per_s * ar / (discharge * port), drop = rho / 2 * (u * u + 2 * a * u);
      CHECK(p.lowest_pa_abs < p0_pa_abs - seal_crack_pa);
      CHECK(p.ingested_kg > 0.0);
      CHECK(p.released_kg > p.ingested_kg);
      MESSAGE("at " << p.speed_m_per_s << " m/s " << p.lowest_pa_abs / 1e5 << " bar; drop "
              << drop << ", " << p0_pa_abs - p.lowest_pa_abs
              << "; air past the seal " << p.ingested_kg << " kg, free " << p.released_kg << " kg");
    }
  }

  TEST_CASE("limit: a run books the air that a fast hand lets in, and none for a slow one") {
    Rig r = hand_rig();
    r.branches[0].cylinder.viscous_n_s_per_m = 400;
    r.air.diffusivity_m2_per_s = 0;
    for (const bool fast : {false, true}) {
      CAPTURE(fast);
      Step hand{.kind = StepKind::hand, .strokes = 1, .dwell_s = 5, .repeat = false};
      hand.joints = under_oil(2000, fast ? 0.3 : 0.01);
      const Procedure p{.name = "hand", .steps = {hand, {.dwell_s = 1}}, .max_strokes = 1};
      RunOptions o;
      o.checks = false;
      const Run run = evenstroke::run(r, bled(r), p, o);
      CAPTURE(run.status.message);
      CAPTURE(run.status.time_s);
      REQUIRE(run.status.ok());
      REQUIRE(run.strokes.size() == 2);
      if (fast) CHECK(run.books.ledger.air_ingested_kg > 1e-9);
      else CHECK(run.books.ledger.air_ingested_kg == 0.0);
      CHECK(run.books.air_rel_error <= 1e-12);
      CHECK(run.books.oil_rel_error <= 1e-12);
    }
  }

  TEST_CASE("limit: a container gives its bubbles back until they have risen, 1 - U t/h of them") {
    Rig r = hand_rig();
    r.air.fine_m = 0.2e-3;
    r.air.diffusivity_m2_per_s = 0;
    r.air.release_s = 1e12;
    r.branches[0].cylinder.seal_m3_per_s_pa = 0;
    r.reservoir.area_m2 = 50e-4;
    const double rho = density(r.oil, r.oil.temperature_k), mu = 10e-6 * rho, d = r.air.fine_m;
    const double stokes = rho * gravity_m_per_s2 * d * d / (18 * mu);
    const double depth_m = r.reservoir.container_m3 / r.reservoir.area_m2;
    const double rise = bubble_rise_m_per_s(d, mu, rho);
    CHECK(near(rise, stokes, 0.06, 0));   // Schiller and Naumann's few per cent below Stokes
    for (const double share : {0.0, 0.4, 0.8, 1.01, 3.0}) {
      CAPTURE(share);
      Bench b(r, {}, under_oil(200, 1));
      b.c.container.fine_kg = 1e-8;
      b.take(b.c);
      const double before_kg = b.c.container.fine_kg;
      b.drive({}, std::max(share * depth_m / rise, 1e-6));
      b.drive({.hand = 1}, 5, [&](const Contents& c, const FlowEngine::Quantum&) { return c.position_m[0] > 0.1; });
      // The cap side draws A_c x of a volume V - (A_c - A_r) x that the rod side's clean oil thins: by integration
      // a share 1 - [1 - (A_c - A_r) x/V]^(A_c/(A_c - A_r)) is drawn in.
      const double ac = cap_area_m2(b.cylinder()), rod_m2 = ac - rod_area_m2(b.cylinder());
      const double drawn = 1 - std::pow(1 - rod_m2 * b.c.position_m[0] / r.reservoir.container_m3, ac / rod_m2);
      const double got_kg = held(b.c, b.net.place("a.cap_chamber")).gas_kg();
      const double expected_kg = before_kg * std::max(0.0, 1 - share) * drawn;
      CHECK(drawn > 0.02);
      CHECK(near(got_kg, expected_kg, 5e-3, 1e-15));
      if (share < 1) MESSAGE("drawn " << drawn << ", bubbles off by " << got_kg / expected_kg - 1);
    }
  }
}
