// One rod of a made-up platform in numbers, by the full simulator: 12 mm in a bore of 20 mm, stroke 250 mm, 0.36 L/min,
// 1.4 GPa, 90 kg on it. Numbers: arithmetic of the formulas, met to 0.5 %.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::Bench;
using testing::bench_rig;

namespace {

constexpr double flow_m3_per_s = 6e-6, load_n = 90 * gravity_m_per_s2, tolerance = 5e-3;
constexpr Drive extending{.motor = true, .extend = true, .on_panel = true};
constexpr Drive retracting{.motor = true, .retract = true};
constexpr Drive locked{.on_panel = true};

Rig platform(double weight_n) {
  Rig r = bench_rig(1, SynchroniserKind::tee, flow_m3_per_s);
  r.oil.modulus_40_pa = 1.4e9;
  r.panel.mass_kg = weight_n / gravity_m_per_s2;
  return r;
}

/// Ports shut right at the cylinder, `dead_m3` of line on each side of it.
Rig shut(double weight_n, double dead_m3) {
  Rig r = platform(weight_n);
  r.valve_block.passage_m3 = 1e-8;
  Branch& b = r.branches[0];
  b.cylinder.cap_clearance_m3 = b.cylinder.rod_clearance_m3 = 1e-8;
  b.cap_line.bore_m = b.rod_line.bore_m = 5e-3;
  b.cap_line.length_m = b.rod_line.length_m = std::max(dead_m3, 1e-8) / area_m2(b.cap_line);
  return r;
}

double stiffness(const Rig& light, double x_m) {
  Rig r = light;
  constexpr double step_n = 10;
  r.panel.mass_kg = step_n / gravity_m_per_s2;
  Bench b(r);
  b.c.position_m[0] = x_m;
  b.fill();
  b.drive(locked, 1);
  return step_n / (x_m - b.c.position_m[0]);
}

}  // namespace

TEST_SUITE("limits/platform") {
  TEST_CASE("limit: 0.36 L/min moves the rod out at 19.10 and in at 29.84 mm/s") {
    Bench b(platform(0));
    const auto speed = [&](const Drive& d) {
      b.drive(d, 1);
      const double x = b.c.position_m[0], t = b.c.time_s;
      b.drive(d, 2);
      return (b.c.position_m[0] - x) / (b.c.time_s - t);
    };
    CHECK(near(speed(extending), 19.10e-3, tolerance, 0));
    b.drive(extending, 5);
    CHECK(near(-speed(retracting), 29.84e-3, tolerance, 0));
  }

  TEST_CASE("limit: 90 kg stand on 28.09 bar; 90 bar lift 2827 N and no more") {
    Connections j;
    j.parted = {"a.rod_port"};
    j.port = Opening::air;
    Bench stands(platform(load_n), {}, j);
    stands.c.position_m[0] = 0.125;
    stands.fill();
    stands.drive(locked, 1);
    CHECK(near(stands.pressure("a.cap_chamber") - p0_pa_abs, 28.09e5, tolerance, 0));
    for (const double share : {0.995, 1.005}) {
      CAPTURE(share);
      Rig r = platform(share * 2827);
      r.valve_block.relief_pa_gauge = 90e5 - flow_m3_per_s / r.valve_block.relief_gain_m3_per_s_pa;   // 90 at all of Q
      Bench b(r);
      b.drive(extending, 20);
      CHECK((b.c.position_m[0] > 1e-3) == (share < 1));
    }
  }

  TEST_CASE("limit: a blocked rod port holds 96.7 bar at 90 bar under the load, 140.6 bar without") {
    for (const auto& [weight_n, bar] : {std::pair{load_n, 96.7}, {0.0, 140.6}}) {
      const auto shown_weight_n = weight_n;   // clang 14 captures no structured binding
      CAPTURE(shown_weight_n);
      Rig r = platform(weight_n);
      r.valve_block.relief_pa_gauge = 90e5 - flow_m3_per_s / r.valve_block.relief_gain_m3_per_s_pa;
      Connections j;
      j.parted = {"a.rod_port"};
      j.port = Opening::capped;
      Bench b(r, {}, j);
      b.c.position_m[0] = 0.05;
      b.fill();
      b.drive(extending, 10);
      CHECK(near(b.pressure("a.rod_chamber") - p0_pa_abs, bar * 1e5, tolerance, 0));
    }
  }

  TEST_CASE("limit: with 1.2 m of line shut in a rod is softest at 170.66 mm, 3.223 N/um; bare at 0.5556 S, 5.700") {
    const Rig lines = shut(1, 1.2 * area_m2(Line{.bore_m = 5e-3})), bare = shut(1, 0);
    CHECK(near(stiffness(lines, 170.66e-3), 3.223e6, tolerance, 0));
    CHECK(near(stiffness(bare, 0.5556 * 0.25), 5.700e6, tolerance, 0));
    for (const double off_m : {-12.5e-3, 12.5e-3}) {
      CAPTURE(off_m);
      CHECK(stiffness(lines, 170.66e-3 + off_m) > 1.001 * stiffness(lines, 170.66e-3));
      CHECK(stiffness(bare, 0.5556 * 0.25 + off_m) > 1.001 * stiffness(bare, 0.5556 * 0.25));
    }
  }

  TEST_CASE("limit: with a thin rod both sides are alike: 4 K A^2/V_t at mid stroke, 7.037 N/um (Merritt)") {
    Rig r = shut(1, 0);
    r.branches[0].cylinder.rod_m = 1e-3;   // takes a four-hundredth of one side
    const double a = cap_area_m2(r.branches[0].cylinder), total_m3 = a * 0.25, middle = stiffness(r, 0.125);
    CHECK(near(middle, 4 * 1.4e9 * a * a / total_m3, tolerance, 0));
    CHECK(near(middle, 7.037e6, tolerance, 0));
    CHECK(near(stiffness(r, 0.1) / stiffness(r, 0.15), 1, tolerance, 0));
    MESSAGE("off by " << middle / (4 * 1.4e9 * a * a / total_m3) - 1);
  }

  TEST_CASE("limit: 28.09 bar leak past the piston to 78.04 on both sides, and the rod sinks 2.477 mm") {
    Rig r = shut(load_n, 0);
    r.branches[0].cylinder.leak_m3_per_s_pa = 1e-13;
    Bench b(r, {.quantum_share = 1e-3});
    b.c.position_m[0] = 0.2;
    for (const char* place : {"valve_block.a", "a.cap_line", "a.cap_chamber"})
      b.c.pressure_pa_abs[b.index(place)] = p0_pa_abs + 28.09e5;
    b.fill();
    b.drive(locked, 120);
    CHECK(near(b.pressure("a.cap_chamber") - p0_pa_abs, 78.04e5, tolerance, 0));
    CHECK(near(b.pressure("a.rod_chamber") - p0_pa_abs, 78.04e5, tolerance, 0));
    CHECK(near(0.2 - b.c.position_m[0], 2.477e-3, tolerance, 0));
    MESSAGE("sinks by " << 0.2 - b.c.position_m[0]);
  }
}
