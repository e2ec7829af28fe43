// A panel that runs ahead of the pump on its way down, with and without a counterbalance valve.
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

constexpr double flow_m3_per_s = 6e-6, load_pa = 28e5, crack_pa = 40e5, pilot_ratio = 3, gain = 1e-10, round_pa = 1e5;
constexpr Drive lowering{.motor = true, .retract = true, .on_panel = true};

Rig over_running(bool counterbalance) {
  Rig r = bench_rig(1, SynchroniserKind::tee, flow_m3_per_s);
  Cylinder& c = r.branches[0].cylinder;
  c.viscous_n_s_per_m = 400;
  r.branches[0].cap_line.bore_m = r.branches[0].rod_line.bore_m = 8e-3;
  r.panel.mass_kg = load_pa * cap_area_m2(c) / gravity_m_per_s2;
  if (counterbalance) {
    r.valve_block.counterbalance_pa_gauge = crack_pa;
    r.valve_block.pilot_ratio = pilot_ratio;
    r.valve_block.counterbalance_gain_m3_per_s_pa = gain;
  } else {
    r.valve_block.lowering_area_m2 = 1e-6;
  }
  return r;
}

/// At its upper stop, carried by the cap side.
void lift(Bench& b) {
  b.c.position_m[0] = b.cylinder().stroke_m;
  for (const char* place : {"valve_block.a", "a.cap_line", "a.cap_chamber"})
    b.c.pressure_pa_abs[b.index(place)] += load_pa;
  b.fill();
}

}  // namespace

TEST_SUITE("limits/lowering") {
  TEST_CASE("limit: a counterbalance valve lets the panel down at the pump's flow over the annulus, without a cavity") {
    Bench b(over_running(true));
    lift(b);
    b.drive({.retract = true, .on_panel = true}, 60);   // pump at rest: the load alone opens nothing
    CHECK(b.cylinder().stroke_m - b.c.position_m[0] < 1e-4);
    const double held_m = b.c.position_m[0];
    b.drive({.retract = true, .on_panel = true}, 60);
    CHECK(near(b.c.position_m[0], held_m, 0, 1e-9));

    b.drive(lowering, 2);
    const double x = b.c.position_m[0], t = b.c.time_s;
    double lowest_pa_abs = 1e9;
    b.drive(lowering, 3, [&](const Contents& c, const FlowEngine::Quantum&) {
      for (const double p : c.pressure_pa_abs) lowest_pa_abs = std::min(lowest_pa_abs, p);
      return false;
    });
    const double v = (x - b.c.position_m[0]) / (b.c.time_s - t);
    const double ac = cap_area_m2(b.cylinder()), ar = rod_area_m2(b.cylinder()), phi = ac / ar;
    CHECK(near(v, flow_m3_per_s / ar, 2e-3, 0));
    CHECK(lowest_pa_abs > 0.99 * p0_pa_abs);
    // The pump's side helps to open: p_c + ratio p_b = crack + half the rounded corner + q/G,
    // p_c = (W + p_r A_r - B v)/A_c.
    const double q = v * ac;
    const double pilot = (crack_pa + round_pa / 2 + q / gain - (load_pa - 400 * v / ac)) / (pilot_ratio + 1 / phi);
    CHECK(near(b.pressure("valve_block.b") - p0_pa_abs, pilot, 5e-3, 0));
    MESSAGE("speed off by " << v * ar / flow_m3_per_s - 1 << ", pilot pressure by "
                            << (b.pressure("valve_block.b") - p0_pa_abs) / pilot - 1);
  }

  TEST_CASE("limit: without one the rod runs ahead of the pump, and its rod side empties to the floor of pressure") {
    Bench b(over_running(false));
    lift(b);
    b.drive(lowering, 0.3);
    const double x = b.c.position_m[0], t = b.c.time_s;
    double lowest_pa_abs = 1e9;
    b.drive(lowering, 0.5, [&](const Contents& c, const FlowEngine::Quantum&) {
      lowest_pa_abs = std::min(lowest_pa_abs, c.pressure_pa_abs[b.index("a.rod_chamber")]);
      return false;
    });
    const double v = (x - b.c.position_m[0]) / (b.c.time_s - t), ar = rod_area_m2(b.cylinder());
    CHECK(v > 3 * flow_m3_per_s / ar);
    CHECK(lowest_pa_abs <= 1001);
    // What the pump did not fill is a cavity: the chamber's room less what is in it.
    const std::size_t i = b.index("a.rod_chamber");
    const double oil = b.c.masses[i].oil_kg / b.net.rho0_kg_per_m3;
    CHECK(available_m3(b.net, b.c, b.net.place("a.rod_chamber")) > 1.5 * oil);
    MESSAGE("runs at " << v * ar / flow_m3_per_s << " times the pump's flow");
  }

  TEST_CASE("limit: a run tells it by the lowest pressure of the stroke") {
    const Procedure p{.name = "one", .steps = {{.dwell_s = 1, .rods = Rods::panel}}, .max_strokes = 1};
    RunOptions o;
    o.checks = false;
    for (const bool counterbalance : {true, false}) {
      CAPTURE(counterbalance);
      Rig r = over_running(counterbalance);
      r.branches[0].cylinder.breakaway_pa_diff = 1e5;
      const Run run = evenstroke::run(r, bled(r), p, o);
      REQUIRE(run.status.ok());
      REQUIRE(run.strokes.size() == 2);
      if (counterbalance) CHECK(run.strokes[1].lowest_pa_abs > 0.9 * p0_pa_abs);
      else CHECK(run.strokes[1].lowest_pa_abs <= 1001);
      MESSAGE("lowest pressure " << run.strokes[1].lowest_pa_abs << " Pa");
    }
  }
}
