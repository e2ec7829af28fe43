// The full simulator against what a column of oil and a laminar line must do.
#include <doctest/doctest.h>

#include <numbers>

#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::Bench;
using testing::bench_rig;

namespace {

constexpr Drive extending{.motor = true, .extend = true, .on_panel = true};
constexpr double flow_m3_per_s = 6e-6;   // 0.36 L/min

/// Reservoir's loss while it feeds the cap side and takes back the rod side, per second [m3/s].
struct Rates {
  double speed_m_per_s, reservoir_m3_per_s;
};

/// Mean over two seconds in the middle of an extension.
Rates measure(Bench& b, const Drive& d) {
  b.drive(d, 2.0);
  const double x = b.c.position_m[0], oil = b.c.reservoir.oil_kg, t = b.c.time_s;
  b.drive(d, 2.0);
  const double dt = b.c.time_s - t;
  return {(b.c.position_m[0] - x) / dt, (oil - b.c.reservoir.oil_kg) / dt / b.net.rho0_kg_per_m3};
}

}  // namespace

TEST_SUITE("limits/rates") {
  TEST_CASE("limit: a rod moves at the pump's flow over its cap area, and sends back that speed times its annulus") {
    Rig rig = bench_rig(1, SynchroniserKind::tee, flow_m3_per_s);
    rig.panel.mass_kg = 60;
    Bench b(rig);
    const Rates r = measure(b, extending);
    const Cylinder& c = b.cylinder();
    const double speed = flow_m3_per_s / cap_area_m2(c);
    CHECK(near(r.speed_m_per_s, speed, 1e-3, 0));
    CHECK(near(r.reservoir_m3_per_s, flow_m3_per_s - rod_area_m2(c) * speed, 1e-3, 0));
    MESSAGE("speed off Q/A by " << r.speed_m_per_s / speed - 1);
  }
  TEST_CASE("limit: the oil that reaches a rod is smaller by its compression, to the pump's small fall of flow") {
    Rig rig = bench_rig(1, SynchroniserKind::tee, flow_m3_per_s);
    rig.panel.mass_kg = 60;
    rig.oil.modulus_40_pa = 0.5e9;
    Bench b(rig);
    const Rates r = measure(b, extending);
    const double p = b.pressure("a.cap_chamber"), q = flow(b.net.pump, p0_pa_abs, b.pressure("valve_block.p")).q;
    CHECK((p - p0_pa_abs) / 0.5e9 > 3e-3);   // what is tested is larger than the tolerance
    CHECK(near(r.speed_m_per_s, q * (1 - (p - p0_pa_abs) / 0.5e9) / cap_area_m2(b.cylinder()), 1e-5, 0));
  }
  TEST_CASE("limit: two rods behind metering pistons share the flow by the metering areas, whatever the load") {
    Rig rig = bench_rig(2, SynchroniserKind::metering_pistons, 2 * flow_m3_per_s);
    rig.panel.mass_kg = 80;
    rig.panel.centre_of_mass = 0.7;
    rig.branches[1].cylinder.bore_m = 25e-3;
    Bench b(rig);
    b.drive(extending, 3.0);
    const double x0 = b.c.position_m[0], x1 = b.c.position_m[1], y = b.c.position_m[2], t = b.c.time_s;
    b.drive(extending, 1.0);
    const double dt = b.c.time_s - t;
    const double a0 = cap_area_m2(b.cylinder(0)), a1 = cap_area_m2(b.cylinder(1));
    const double speed = 2 * flow_m3_per_s / (a0 + a1);
    CHECK(near((b.c.position_m[0] - x0) / dt, speed, 2e-3, 0));
    CHECK(near((b.c.position_m[1] - x1) / dt, speed, 2e-3, 0));
    CHECK(near((b.c.position_m[2] - y) / dt, speed * 0.25 / b.net.axes[2].travel_m * 1.02, 2e-3, 0));
  }
  TEST_CASE("limit: a laminar line drops 128 mu L Q/(pi d^4), Hagen and Poiseuille, on its way to a moving rod") {
    for (const double bore_m : {2.5e-3, 4e-3}) {
      CAPTURE(bore_m);
      Rig rig = bench_rig(1, SynchroniserKind::tee, flow_m3_per_s);
      rig.branches[0].cap_line = {.bore_m = bore_m, .length_m = 3, .minor_loss = 0};
      rig.branches[0].rod_line = {.bore_m = bore_m, .length_m = 2, .minor_loss = 0};
      Bench b(rig);
      const Rates r = measure(b, {.motor = true, .extend = true});
      const Cylinder& c = b.cylinder();
      const double mu = 46e-6 * density(rig.oil, 313.15);   // VG 46: 46 mm2/s at 40 deg C by ISO 3448
      const auto drop = [&](double length_m, double q) {
        return 128 * mu * length_m * q / (std::numbers::pi * bore_m * bore_m * bore_m * bore_m);
      };
      const double cap = b.pressure("valve_block.a") - b.pressure("a.cap_chamber");
      const double rod = b.pressure("a.rod_chamber") - b.pressure("valve_block.b");
      CHECK(near(cap, drop(3, cap_area_m2(c) * r.speed_m_per_s), 2e-3, 0));
      CHECK(near(rod, drop(2, rod_area_m2(c) * r.speed_m_per_s), 2e-3, 0));
      MESSAGE("bore " << bore_m << " cap off by " << cap / drop(3, cap_area_m2(c) * r.speed_m_per_s) - 1 << ", rod "
                      << rod / drop(2, rod_area_m2(c) * r.speed_m_per_s) - 1);
    }
  }
}
