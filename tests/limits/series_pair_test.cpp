// Cylinders in series against statics: the first carries all loads, the second follows by the annulus of the first; what the
// link loses sets the rods apart until a passage past the pistons re-phases them.
#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "support/bench.hpp"
#include "support/kinds.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

/// 50/20 mm and a bore of the first one's annulus, 45.83 mm, 200 mm of stroke, 4000 N on each rod; wide lines.
Rig chain(double second_bore_m = 0, double passage_m2 = 0) {
  Rig r = with_kind(bench_rig(2, SynchroniserKind::series_pair, 1e-4), SynchroniserKind::series_pair);
  r.synchroniser.outlet_m3 = 1e-6;
  r.series = {.rephasing_area_m2 = passage_m2, .rephasing_way_m = 5e-3};
  for (Branch& b : r.branches) {
    b.cylinder.bore_m = 0.05, b.cylinder.rod_m = 0.02, b.cylinder.stroke_m = 0.2, b.cylinder.viscous_n_s_per_m = 20;
    b.cap_line.bore_m = b.rod_line.bore_m = 0.02, b.cap_line.length_m = b.rod_line.length_m = 0.1;
  }
  r.branches[1].cylinder.bore_m = second_bore_m > 0 ? second_bore_m : std::sqrt(0.05 * 0.05 - 0.02 * 0.02);
  r.panel = {.mass_kg = 8000 / gravity_m_per_s2};
  r.oil.modulus_40_pa = 50e9;                              // what is squeezed in the link is another question
  r.reservoir.oil_m3 = 0.02;
  return r;
}

}  // namespace

TEST_SUITE("limits/series_pair") {
  // 50/20 mm, 4000 N on each: p_mid = W2/A_c2, p_1 = (W1 + W2)/A_c1
  TEST_CASE("limit: the link carries the second load, the inlet both: 24.25 and 40.74 bar; and the rods keep step") {
    Bench b(chain(), {.quantum_share = 0.02});
    b.drive({.motor = true, .extend = true, .on_panel = true}, 60,
            [](const Contents& c, const FlowEngine::Quantum&) { return c.position_m[0] > 0.1; });
    CHECK(near(b.pressure("b.cap_chamber") - p0_pa_abs, 24.25e5, 3e-3, 0));
    CHECK(near(b.pressure("a.cap_chamber") - p0_pa_abs, 40.74e5, 3e-3, 0));
    CHECK(near(b.c.position_m[1], b.c.position_m[0], 0, 3e-5));
  }
  TEST_CASE("limit: a second cylinder of another bore goes A_r1/A_c2 times as far") {
    Bench b(chain(0.04), {.quantum_share = 0.02});
    b.drive({.motor = true, .extend = true, .on_panel = true}, 60,
            [](const Contents& c, const FlowEngine::Quantum&) { return c.position_m[0] > 0.1; });
    const double ratio = rod_area_m2(b.cylinder(0)) / cap_area_m2(b.cylinder(1));
    CHECK(near(b.c.position_m[1] / b.c.position_m[0], ratio, 3e-3, 0));
  }
  TEST_CASE("limit: held under load, a leak past the first piston into the link sets the rods k dp/A apart every second") {
    Rig r = chain();
    r.branches[0].cylinder.leak_m3_per_s_pa = 5e-13;
    Bench b(r, {.quantum_share = 0.02});
    for (const std::size_t i : {0U, 1U}) b.c.position_m[i] = 0.1;
    b.fill();
    b.drive({.extend = true, .on_panel = true}, 1);                        // pressures of the loads
    const double dp = b.pressure("a.cap_chamber") - b.pressure("a.rod_chamber"), x0 = b.c.position_m[1], y0 = b.c.position_m[0];
    CHECK(near(dp, 16.49e5, 0.02, 0));
    b.drive({.extend = true, .on_panel = true}, 60);
    const double apart_m = (b.c.position_m[1] - x0) - (b.c.position_m[0] - y0);
    // through the leak the first rod sinks by its rod's share: its cap gives q, its annulus takes A_r of what it sinks
    const double q = 5e-13 * dp * 60, sinks = q / cap_area_m2(b.cylinder(0));
    CHECK(near(b.c.position_m[0] - y0, -sinks, 0.02, 0));
    CHECK(near(apart_m, (q - sinks * rod_area_m2(b.cylinder(0))) / cap_area_m2(b.cylinder(1)) + sinks, 0.02, 0));
  }
  TEST_CASE("law: pressed at the stop, the passages past the pistons let the second rod catch up; without them it stays behind") {
    for (const double passage_m2 : {0.0, 2e-7}) {
      CAPTURE(passage_m2);
      Rig r = chain(0, passage_m2);
      r.panel.mass_kg = 0;
      r.valve_block.relief_pa_gauge = 60e5;
      r.pump.displacement_m3_per_rad /= 4;
      Bench b(r, {.quantum_share = 0.02});
      b.c.position_m[0] = 0.05;                            // the link lacks 98 mL
      b.fill();
      b.drive({.motor = true, .extend = true}, 60, [](const Contents& c, const FlowEngine::Quantum&) { return c.position_m[0] == 0.2; });
      CHECK(near(b.c.position_m[0] - b.c.position_m[1], 0.05, 0, 5e-3));
      b.drive({.motor = true, .extend = true}, 120, [](const Contents& c, const FlowEngine::Quantum&) { return c.position_m[1] == 0.2; });
      if (passage_m2 > 0) CHECK(b.c.position_m[1] == 0.2);
      else CHECK(near(b.c.position_m[0] - b.c.position_m[1], 0.05, 0, 5e-3));
    }
  }
  TEST_CASE("law: air in the link is squeezed before the second rod moves, and the passages carry it out at the stop") {
    Rig r = chain(0, 1e-6);
    r.pump.displacement_m3_per_rad /= 2;
    r.valve_block.relief_pa_gauge = 80e5;
    for (Branch& b : r.branches) b.cylinder.attitude = Attitude::rod_up;   // gas stands under the piston, at the passage
    Bench b(r, {.quantum_share = 0.02});
    b.c.masses[b.index("b.cap_chamber")].pocket_kg = 20e-6 * p0_pa_abs / b.net.gas_j_per_kg;
    b.c.position_m[1] = b.c.position_m[0] = 0.02;
    b.fill();
    const double before = total(b.c).gas_kg();
    b.drive({.motor = true, .extend = true, .on_panel = true}, 60,
            [](const Contents& c, const FlowEngine::Quantum&) { return c.position_m[0] > 0.1; });
    const double p = b.pressure("b.cap_chamber");
    CHECK(near(b.c.position_m[0] - b.c.position_m[1], 20e-6 * (1 - p0_pa_abs / p) / cap_area_m2(b.cylinder(1)), 0.03, 0));
    b.drive({.motor = true, .extend = true, .on_panel = true}, 60);
    CHECK(total(b.c).gas_kg() < 0.2 * before);
  }
}
