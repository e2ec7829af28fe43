// A reversing closed circuit against the balance of volumes: what the rod displaces comes from the reservoir and goes back
// there, the rest goes round; checks that a pilot opens, and what an outflow shut off does to a rod side.
#include <doctest/doctest.h>

#include <cmath>

#include "support/bench.hpp"
#include "support/kinds.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

/// 20 and 12 mm: alpha = 1.5625. Passages and lines of next to no volume.
Rig closed(SynchroniserKind kind = SynchroniserKind::tee, int branches = 1) {
  Rig r = with_kind(bench_rig(branches, kind, 12e-6), kind);
  r.valve_block.circuit = CircuitKind::closed;
  r.valve_block.relief_pa_gauge = 90e5;
  r.closed.shuttle_area_m2 = 5e-5;
  r.closed.makeup_m3_per_s_pa = 1e-8;
  r.synchroniser.clearance_m3 = r.synchroniser.outlet_m3 = 1e-6;
  for (Branch& b : r.branches) b.cylinder.viscous_n_s_per_m = 200;
  return r;
}

double reservoir_m3(const Bench& b) { return b.c.reservoir.oil_kg / b.net.rho0_kg_per_m3; }

}  // namespace

TEST_SUITE("limits/closed_circuit") {
  TEST_CASE("limit: out, the reservoir gives Q(1 - 1/alpha); back in, it gets Q(alpha - 1)") {
    const Rig r = closed();
    const double alpha = cap_area_m2(r.branches[0].cylinder) / rod_area_m2(r.branches[0].cylinder);
    Bench b(r, {.quantum_share = 0.02});
    b.drive({.motor = true, .extend = true}, 2);
    const double out_from = reservoir_m3(b);
    b.drive({.motor = true, .extend = true}, 3);
    CHECK(near((out_from - reservoir_m3(b)) / 3, 12e-6 * (1 - 1 / alpha), 0.02, 0));
    b.drive({.motor = true, .extend = true}, 60, [](const Contents& c, const FlowEngine::Quantum&) { return c.position_m[0] == 0.25; });
    b.drive({.motor = true, .retract = true}, 1);
    const double in_from = reservoir_m3(b);
    b.drive({.motor = true, .retract = true}, 2);
    CHECK(near((reservoir_m3(b) - in_from) / 2, 12e-6 * (alpha - 1), 0.02, 0));
  }
  // Drawn through the pump, what the cap side gives goes A_r/A_c to the rod side and the rest past the shuttle to the
  // reservoir, both with the same mixture; all of the rod side comes back. Our derivation; no source.
  TEST_CASE("limit: of bubbles in a closed circuit without lines A_r/A_c are left after every cycle, and what its dead room keeps") {
    for (const double rod_m : {16e-3, 24e-3, 32e-3}) {
      CAPTURE(rod_m);
      Rig r = closed();
      r.pump.displacement_m3_per_rad *= 4;
      r.branches[0].cylinder.bore_m = 40e-3, r.branches[0].cylinder.rod_m = rod_m;
      r.branches[0].cap_line.length_m = r.branches[0].rod_line.length_m = 0.01;
      r.synchroniser.clearance_m3 = r.synchroniser.outlet_m3 = 1e-7;
      r.reservoir.area_m2 = 1e4, r.reservoir.intake_m = 0; // what gets there leaves it
      Bench b(r, {.quantum_share = 0.5});                  // of the lines, which hold next to nothing
      b.c.position_m[0] = 0.25;
      Masses& cap = b.c.masses[b.index("a.cap_chamber")];
      cap.fine_kg = 1e-8 * p0_pa_abs / b.net.gas_j_per_kg;
      b.fill();
      const Cylinder& cylinder = r.branches[0].cylinder;
      const double share = rod_area_m2(cylinder) / cap_area_m2(cylinder), swept_m3 = cap_area_m2(cylinder) * 0.25;
      double dead_m3 = -swept_m3;                          // no richer in gas than the cap side a cycle ago
      for (std::size_t p = 0; p < b.net.places.size(); ++p) dead_m3 += available_m3(b.net, b.c, static_cast<int>(p));
      REQUIRE(dead_m3 < 0.003 * swept_m3);
      const auto circuit_kg = [&] {
        double kg = 0;
        for (std::size_t p = 0; p < b.net.places.size(); ++p) kg += held(b.c, static_cast<int>(p)).gas_kg();
        return kg;
      };
      for (int cycle = 0; cycle < 3; ++cycle) {
        CAPTURE(cycle);
        const double before = circuit_kg();
        for (const bool out : {false, true})
          b.drive({.motor = true, .extend = out, .retract = !out}, 90,
                  [&](const Contents& c, const FlowEngine::Quantum&) { return c.position_m[0] == (out ? 0.25 : 0.0); });
        CHECK(circuit_kg() / before > share * 0.999);
        CHECK(circuit_kg() / before < share + dead_m3 / (share * swept_m3));
      }
    }
  }
  TEST_CASE("limit: every synchroniser moves both rods out and home in a closed circuit, too, and the books close") {
    for (const SynchroniserKind kind : all_kinds) {
      CAPTURE(static_cast<int>(kind));
      Rig r = closed(kind, 2);
      if (kind == SynchroniserKind::series_pair) r.branches[1].cylinder.bore_m = 16e-3, r.branches[1].cylinder.rod_m = 8e-3;
      r.rotary.outlet_relief_pa_gauge = 90e5;
      r.rotary.makeup_m3_per_s_pa = 1e-9;
      Bench b(r);
      for (const bool out : {true, false}) {
        const auto there = [&](const Contents& c, const FlowEngine::Quantum&) {
          return c.position_m[0] == (out ? 0.25 : 0.0) && c.position_m[1] == (out ? 0.25 : 0.0);
        };
        b.drive({.motor = true, .extend = out, .retract = !out}, 90, there);
        CHECK(near(b.c.position_m[0], out ? 0.25 : 0.0, 0, 1e-3));
        CHECK(near(b.c.position_m[1], out ? 0.25 : 0.0, 0, 1e-3));
      }
    }
  }
  TEST_CASE("limit: pilot-operated checks hold a load with the motor off, open when the pump turns, and lower it again") {
    Rig r = closed();
    r.panel.mass_kg = 90;
    r.locks = {.check_a_ratio = 4, .check_b_ratio = 4};
    r.valve_block.lowering_area_m2 = 4e-7;                 // else it drops faster than the pump fills behind it
    Bench b(r, {.quantum_share = 0.02});
    b.drive({.motor = true, .extend = true, .on_panel = true}, 4);
    const double x = b.c.position_m[0];
    CHECK(near(x, 4 * 12e-6 / cap_area_m2(r.branches[0].cylinder), 0.02, 0));
    b.drive({.extend = true, .on_panel = true}, 600);
    CHECK(near(b.c.position_m[0], x, 0, 1e-4));
    b.drive({.motor = true, .retract = true, .on_panel = true}, 30, [](const Contents& c, const FlowEngine::Quantum&) { return c.position_m[0] == 0; });
    CHECK(b.c.position_m[0] == 0);
  }
  TEST_CASE("limit: a check at B whose ratio is below alpha never opens: the rod side is driven up to alpha times the pump's pressure") {
    for (const CircuitKind circuit : {CircuitKind::open, CircuitKind::closed}) {
      CAPTURE(static_cast<int>(circuit));
      Rig r = closed();
      r.valve_block.circuit = circuit;
      r.locks.check_b_ratio = 1.2;
      r.branches[0].cylinder.viscous_n_s_per_m = 1;        // friction would hold part of it, a narrow line help the pilot
      r.branches[0].cap_line.bore_m = r.branches[0].rod_line.bore_m = 0.015;
      Bench b(r, {.quantum_share = 0.02});
      b.c.position_m[0] = 0.1;
      b.fill();
      b.drive({.motor = true, .extend = true}, 3);
      const double alpha = cap_area_m2(r.branches[0].cylinder) / rod_area_m2(r.branches[0].cylinder);
      CHECK(near(b.pressure("a.rod_chamber") - p0_pa_abs, alpha * (b.pressure("a.cap_chamber") - p0_pa_abs), 2e-3, 0));
      CHECK(b.pressure("a.rod_chamber") - p0_pa_abs > 1.5 * 90e5);
      CHECK(b.c.position_m[0] < 0.11);
    }
  }
  TEST_CASE("limit: with a ratio above alpha it opens, and the rod goes out") {
    for (const CircuitKind circuit : {CircuitKind::open, CircuitKind::closed}) {
      CAPTURE(static_cast<int>(circuit));
      Rig r = closed();
      r.valve_block.circuit = circuit;
      r.locks.check_b_ratio = 4;
      Bench b(r, {.quantum_share = 0.02});
      b.drive({.motor = true, .extend = true}, 4);
      CHECK(near(b.c.position_m[0], 4 * 12e-6 / cap_area_m2(r.branches[0].cylinder), 0.02, 0));
    }
  }
}
