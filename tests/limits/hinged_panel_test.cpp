// A hinged panel through the full simulator: what it weighs on the rods over their travel, and what it does past its hinge.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::Bench;
using testing::bench_rig;

namespace {

/// Stroke 0.25 m turns it by 46 deg. `elevation_deg`: of the centre of mass, rod in.
Rig hatch(double elevation_deg) {
  Rig r = bench_rig(1, SynchroniserKind::tee, 6e-6);
  r.branches[0].cap_line.bore_m = r.branches[0].rod_line.bore_m = 8e-3;
  r.panel = {.mass_kg = 60, .hinge_to_eye_m = 0.4, .hinge_to_foot_m = 0.6, .foot_to_eye_m = 0.45, .hinge_to_centre_m = 0.5,
             .centre_elevation_rad = elevation_deg * std::numbers::pi / 180, .kind = PanelKind::hinged};
  return r;
}

/// Angle at the hinge by the law of cosines, and the height of the centre of mass above where it was.
double angle(double l) { return std::acos((0.4 * 0.4 + 0.6 * 0.6 - l * l) / (2 * 0.4 * 0.6)); }
double raised_m(double elevation_deg, double x) {
  const double from = elevation_deg * std::numbers::pi / 180;
  return 0.5 * (std::sin(from + angle(0.45 + x) - angle(0.45)) - std::sin(from));
}

constexpr Drive lift{.motor = true, .extend = true, .on_panel = true};

}  // namespace

TEST_SUITE("limits/hinged_panel") {
  TEST_CASE("balance: what the rod puts into the panel is its weight times the height gained, whatever the way") {
    for (const double elevation : {10.0, 40.0}) {
      CAPTURE(elevation);
      Bench b(hatch(elevation));
      for (const double time_s : {4.0, 8.0}) {
        b.drive(lift, time_s);
        const double x = b.c.position_m[0];
        CHECK(near(b.march.engine().energy().load_j, 60 * gravity_m_per_s2 * raised_m(elevation, x), 1e-9, 0));
      }
    }
  }
  TEST_CASE("law: the cap side carries the moment balance about the hinge, at every place of the travel") {
    Bench b(hatch(10));
    for (int i = 0; i < 6; ++i) {
      b.drive(lift, 1.5);
      const double x = b.c.position_m[0], dx = 1e-5;
      const double load_n = 60 * gravity_m_per_s2 * (raised_m(10, x + dx) - raised_m(10, x - dx)) / (2 * dx);
      const double ac = cap_area_m2(b.cylinder()), ar = rod_area_m2(b.cylinder());
      const double held_n = (b.pressure("a.cap_chamber") - p0_pa_abs) * ac - (b.pressure("a.rod_chamber") - p0_pa_abs) * ar;
      CHECK(near(held_n, load_n, 2e-3, 0));
    }
  }
  TEST_CASE("limit: past its hinge a panel runs ahead of the pump, a vacuum behind the piston; a restrictor holds it") {
    for (const bool restrictor : {false, true}) {
      CAPTURE(restrictor);
      Rig r = hatch(80);
      if (restrictor) r.valve_block.lifting_area_m2 = 7e-8;
      Bench b(r);
      double lowest_pa_abs = 1e9, fastest = 0;
      b.drive(lift, 20, [&](const Contents& c, const FlowEngine::Quantum&) {
        lowest_pa_abs = std::min(lowest_pa_abs, c.pressure_pa_abs[b.index("a.cap_chamber")]);
        fastest = std::max(fastest, b.march.engine().model().speed(0));
        return false;
      });
      CHECK(b.c.position_m[0] == b.cylinder().stroke_m);
      const double pumped = 6e-6 / cap_area_m2(b.cylinder());
      if (restrictor) {
        CHECK(lowest_pa_abs > 0.9e5);
        CHECK(fastest < 1.1 * pumped);
      } else {
        CHECK(lowest_pa_abs < 0.1e5);
        CHECK(fastest > 2 * pumped);
      }
    }
  }
}
