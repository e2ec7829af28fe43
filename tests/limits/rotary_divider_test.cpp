// A rotary divider against the balance of its shaft: p_in = (p_1 + p_2)/2 + T_f/(2 D), eps = k (p_2 - p_1)/Q, and an outlet
// without way out driven up by the other section.
#include <doctest/doctest.h>

#include <cmath>

#include "support/bench.hpp"
#include "support/kinds.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

constexpr double section = 0.2e-6 / 6.283185307179586, shaft_n_m = 0.02, k_slip = 2e-13;

/// 706 and 1059 N on 20 mm: 22.48 and 33.71 bar. Slip of 2e-13 m3/(s Pa) a section, 0.02 N m of friction, nothing viscous.
Rig geared(int branches = 2) {
  Rig r = with_kind(bench_rig(branches, SynchroniserKind::rotary_divider, 12e-6), SynchroniserKind::rotary_divider);
  r.oil = oil_by_grade(22);
  r.oil.temperature_k = 313.15;
  r.oil.density_15_kg_per_m3 = 870 * (1 + r.oil.expansion_per_k * 25);
  r.oil.pressure_viscosity_per_pa = 0;
  r.oil.modulus_40_pa = 5e9;
  const double mu = kinematic_viscosity(r.oil, 313.15) * density(r.oil, 313.15);
  r.rotary = {.section_m3_per_rad = section, .section_slip = k_slip * mu / section, .shaft_torque_n_m = shaft_n_m,
              .shaft_breakaway = 1, .shaft_drag_n_m_s = 1e-7};
  for (Branch& b : r.branches) {
    b.cylinder.viscous_n_s_per_m = 20;
    b.cap_line.bore_m = b.rod_line.bore_m = 15e-3;
    b.cap_line.length_m = b.rod_line.length_m = 0.2;
  }
  r.panel = {.mass_kg = 1765 / gravity_m_per_s2, .centre_of_mass = 0.6};
  return r;
}

Bench lifted(const Rig& r, double until_m = 0.15) {
  Bench b(r, {.quantum_share = 0.02});
  b.drive({.motor = true, .extend = true, .on_panel = r.panel.mass_kg > 0}, 60,
          [&](const Contents& c, const FlowEngine::Quantum&) { return c.position_m[0] > until_m; });
  return b;
}

}  // namespace

TEST_SUITE("limits/rotary_divider") {
  TEST_CASE("limit: the inlet has the mean of the outlets and T_f/(2 D); 31.24 bar under 706 and 1059 N") {
    const Bench b = lifted(geared());
    const double out[] = {b.pressure("a.outlet"), b.pressure("b.outlet")};
    CHECK(near(b.pressure("valve_block.a"), (out[0] + out[1]) / 2 + shaft_n_m / (2 * section), 1e-4, 0));
    CHECK(near(b.pressure("valve_block.a") - p0_pa_abs, 31.24e5, 3e-3, 0));
  }
  TEST_CASE("limit: slip sets the flows k (p_2 - p_1)/Q apart: 1.87 %") {
    const Bench b = lifted(geared());
    const double x = b.c.position_m[0], y = b.c.position_m[1];
    CHECK(near((x - y) / (x + y), k_slip * (b.pressure("b.outlet") - b.pressure("a.outlet")) / 12e-6, 0.02, 0));
    CHECK(near((x - y) / (x + y), 0.01873, 0.03, 0));
  }
  TEST_CASE("limit: displacements 1 % apart set the flows half a percent apart") {
    Rig r = geared();
    r.panel.centre_of_mass = 0.5;
    r.branches[0].outlet.dividing_error = 0.01;
    const Bench b = lifted(r);
    CHECK(near((b.c.position_m[0] - b.c.position_m[1]) / (b.c.position_m[0] + b.c.position_m[1]), 0.01 / 2.01, 0.02, 0));
  }
  TEST_CASE("limit: a rod at its stop is driven up to twice the inlet's pressure less the shaft's friction; four sections to four times") {
    for (const int n : {2, 4}) {
      CAPTURE(n);
      Rig r = geared(n);
      r.panel.mass_kg = 0;
      r.valve_block.relief_pa_gauge = 90e5;
      r.valve_block.relief_gain_m3_per_s_pa = 1e-9;
      r.rotary.section_slip = 0;
      Bench b(r, {.quantum_share = 0.02}, {});
      b.c.position_m[0] = 0.25;                            // at its stop: its section has no way out
      b.fill();
      double highest = 0, inlet = 0;
      b.drive({.motor = true, .extend = true}, 0.5, [&](const Contents&, const FlowEngine::Quantum&) {
        highest = b.pressure("a.outlet"), inlet = b.pressure("valve_block.a");
        return false;
      });
      double others = 0;
      for (int i = 1; i < n; ++i) others += b.pressure(std::string(1, static_cast<char>('a' + i)) + ".outlet") - p0_pa_abs;
      CHECK(near(highest - p0_pa_abs, n * (inlet - p0_pa_abs) - others - shaft_n_m / section, 1e-3, 0));
      CHECK(inlet - p0_pa_abs > 85e5);
    }
  }
  TEST_CASE("limit: a relief valve at the outlet holds it, and the other rod goes on") {
    Rig r = geared();
    r.panel.mass_kg = 0;
    r.rotary.outlet_relief_pa_gauge = 100e5;
    r.valve_block.relief_gain_m3_per_s_pa = 1e-10;
    Bench b(r, {.quantum_share = 0.02});
    b.c.position_m[0] = 0.25;
    b.fill();
    double highest = 0;
    b.drive({.motor = true, .extend = true}, 3, [&](const Contents&, const FlowEngine::Quantum&) {
      highest = std::max(highest, b.pressure("a.outlet"));
      return false;
    });
    CHECK(highest - p0_pa_abs < 101.5e5);
    const double flow = (12e-6 + k_slip * 100e5) / 2;      // slip passes the loaded section by
    CHECK(near(b.c.position_m[1], flow * 3 / cap_area_m2(r.branches[1].cylinder), 0.03, 0));
  }
  TEST_CASE("limit: below the shaft's breakaway it stands, and so do the rods") {
    Rig r = geared();
    r.rotary.shaft_torque_n_m = 1;
    r.rotary.section_slip = 0;
    r.panel.mass_kg = 0;
    r.valve_block.relief_pa_gauge = 100e5;                 // 1 N m takes 157 bar
    Bench b(r);
    b.drive({.motor = true, .extend = true}, 2);
    CHECK(b.c.position_m[0] == 0);
    CHECK(b.c.position_m[2] == 0);
  }
  TEST_CASE("limit: lowering, the shaft takes oil from the make-up check where a rod has none to give") {
    Rig r = geared();
    r.panel.mass_kg = 0;
    r.rotary.makeup_m3_per_s_pa = 1e-9;
    Bench b(r, {.quantum_share = 0.02});
    b.c.position_m[1] = 0.1;                               // the other one is home
    b.fill();
    b.drive({.motor = true, .retract = true}, 60, [](const Contents& c, const FlowEngine::Quantum&) { return c.position_m[1] == 0; });
    CHECK(b.c.position_m[1] == 0);
    CHECK(b.pressure("a.outlet") > 0.5 * p0_pa_abs);
  }
}
