// A cylinder shut in by the closed valve: what it gives way, and where it comes to rest when its piston seal leaks.
#include <doctest/doctest.h>

#include <array>

#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::Bench;
using testing::bench_rig;

namespace {

constexpr Drive locked{.on_panel = true};   // no motor, valve closed

Rig loaded(double load_n) {
  Rig r = bench_rig(1, SynchroniserKind::tee, 6e-6);
  r.panel.mass_kg = load_n / gravity_m_per_s2;
  return r;
}

/// Ports as good as capped: on each side a clearance, a passage and a stub of line, in proportion to `dead_m3`.
Rig capped(double load_n, double dead_m3) {
  Rig r = loaded(load_n);
  r.valve_block.passage_m3 = dead_m3;
  Branch& b = r.branches[0];
  b.cap_line = b.rod_line = {.bore_m = 0.5e-3, .length_m = 0.01 * dead_m3 / 1e-8, .wall_m = 20e-3,
                             .wall_modulus_pa = 500e9, .minor_loss = 0};
  b.cylinder.cap_clearance_m3 = b.cylinder.rod_clearance_m3 = dead_m3;
  return r;
}

/// Load step over the travel it costs, from rest without load at p0 [N/m].
double stiffness(double x_m, double dead_m3) {
  constexpr double step_n = 20;
  Bench b(capped(step_n, dead_m3));
  b.c.position_m[0] = x_m;
  b.fill();
  b.drive(locked, 1.0);
  return step_n / (x_m - b.c.position_m[0]);
}

/// The same with the dead volume to 0 along a straight line through two of them (the rest goes with its square).
double extrapolated(double x_m) { return 2 * stiffness(x_m, 1e-8) - stiffness(x_m, 2e-8); }

}  // namespace

TEST_SUITE("limits/locked") {
  TEST_CASE("limit: a locked rod is softest at S sqrt(phi)/(1 + sqrt(phi)), with (K A_c/S)(1 + phi^-1/2)^2") {
    const Rig r = capped(1, 1e-8);
    const Cylinder& c = r.branches[0].cylinder;
    const double ac = cap_area_m2(c), ar = rod_area_m2(c), s = c.stroke_m, k = r.oil.modulus_40_pa;
    const double root = std::sqrt(ac / ar), weakest_m = s * root / (1 + root);
    const double expected = k * ac / s * (1 + 1 / root) * (1 + 1 / root);
    const double measured = extrapolated(weakest_m);
    CHECK(near(measured, expected, 1e-3, 0));
    MESSAGE("stiffness off by " << measured / expected - 1);

    const double d = 0.02 * s;   // the lowest point of a parabola through three measured stiffnesses
    const double below = extrapolated(weakest_m - d), above = extrapolated(weakest_m + d);
    const double lowest_m = weakest_m + 0.5 * d * (below - above) / (below - 2 * measured + above);
    CHECK(near(lowest_m, weakest_m, 5e-3, 0));
    MESSAGE("its place off by " << lowest_m / weakest_m - 1);
    for (const double x_m : {0.1 * s, 0.9 * s}) {
      CAPTURE(x_m);
      CHECK(near(extrapolated(x_m), k * (ac / x_m + ar / (s - x_m)), 1e-3, 0));
    }
  }

  TEST_CASE("limit: past a leaking seal the pressure goes to W/A_rod, the rod sinks by the compression and stops") {
    for (const double load_n : {200.0, 600.0})
      for (const double x_m : {0.05, 0.2}) {
        CAPTURE(load_n);
        CAPTURE(x_m);
        Rig r = loaded(load_n);
        r.branches[0].cylinder.leak_m3_per_s_pa = 1e-13;
        Bench b(r, {.quantum_share = 1e-4});   // else all of the leakage is one quantum, at one arrival ratio
        const double ac = cap_area_m2(b.cylinder()), rod_m2 = ac - rod_area_m2(b.cylinder());
        const double before = load_n / ac, after = load_n / rod_m2;   // gauge; carried by the cap side, then by both
        b.c.position_m[0] = x_m;
        for (const char* place : {"valve_block.a", "a.cap_line", "a.cap_chamber"})
          b.c.pressure_pa_abs[b.index(place)] = p0_pa_abs + before;
        b.fill();
        double sink_m3 = 0;   // oil at p0 over K, and what the lines' walls give
        for (std::size_t i = 0; i < b.net.places.size(); ++i) {
          if (b.net.places[i].name == "valve_block.p") continue;
          const bool cap = b.c.pressure_pa_abs[i] > p0_pa_abs;
          const double soft = held(b.c, static_cast<int>(i)).oil_kg / b.net.rho0_kg_per_m3 / r.oil.modulus_40_pa +
                              b.net.places[i].wall_m3_per_pa;
          sink_m3 += soft * (after - (cap ? before : 0));
        }
        b.drive(locked, 0.001);
        CHECK(x_m - b.c.position_m[0] < 0.05 * sink_m3 / rod_m2);   // it begins at rest: no jump of the load
        b.drive(locked, 30);
        const double sunk_m = x_m - b.c.position_m[0];
        CHECK(near(b.pressure("a.cap_chamber") - p0_pa_abs, after, 1e-4, 0));
        CHECK(near(b.pressure("a.rod_chamber") - p0_pa_abs, after, 1e-4, 0));
        CHECK(near(sunk_m, sink_m3 / rod_m2, 1e-3, 0));
        b.drive(locked, 600);
        CHECK(near(x_m - b.c.position_m[0], sunk_m, 0, 1e-10));
        MESSAGE("pressure off by " << (b.pressure("a.cap_chamber") - p0_pa_abs) / after - 1 << ", sinking by "
                                   << sunk_m / (sink_m3 / rod_m2) - 1);
      }
  }
}
