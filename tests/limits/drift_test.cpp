// Leakage: what it does to a load that is held, and that it does it in proportion to time.
#include <doctest/doctest.h>

#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::Bench;
using testing::bench_rig;

namespace {

constexpr double load_pa = 20e5, leak_m3_per_s_pa = 5e-15;
constexpr Drive locked{.on_panel = true};

/// Rod sides open to the air, so that what leaks past a piston is gone.
Connections open_rod_sides(std::size_t rods) {
  Connections j;
  j.parted = {"a.rod_port"};
  if (rods > 1) j.parted.push_back("b.rod_port");
  j.port = Opening::air;
  return j;
}

}  // namespace

TEST_SUITE("limits/drift") {
  TEST_CASE("limit: past a piston that leaks 5e-15 m3/s/Pa a 20 mm rod sinks 1.91 mm/min under 20 bar, k dp/A") {
    Rig r = bench_rig(1, SynchroniserKind::tee, 6e-6);
    const double area = cap_area_m2(r.branches[0].cylinder);
    r.branches[0].cylinder.leak_m3_per_s_pa = leak_m3_per_s_pa;
    r.panel.mass_kg = load_pa * area / gravity_m_per_s2;
    Bench b(r, {}, open_rod_sides(1));
    b.c.position_m[0] = 0.15;
    for (const char* place : {"valve_block.a", "a.cap_line", "a.cap_chamber"})
      b.c.pressure_pa_abs[b.index(place)] += load_pa;
    b.fill();
    b.drive(locked, 5);
    for (int minute = 1; minute <= 3; ++minute) {   // in the third as in the first
      CAPTURE(minute);
      const double x = b.c.position_m[0];
      b.drive(locked, 60);
      CHECK(near(x - b.c.position_m[0], leak_m3_per_s_pa * load_pa / area * 60, 2e-3, 0));   // oil expands by 0.04 %
      CHECK(near(x - b.c.position_m[0], 1.91e-3, 5e-3, 0));
    }
  }

  TEST_CASE("limit: held between metering pistons, the rod whose piston leaks goes k dp/A further down every second") {
    Rig r = bench_rig(2, SynchroniserKind::metering_pistons, 12e-6);
    const double area = cap_area_m2(r.branches[0].cylinder);
    r.branches[0].cylinder.leak_m3_per_s_pa = leak_m3_per_s_pa;
    r.panel.mass_kg = 2 * load_pa * area / gravity_m_per_s2;
    Bench b(r, {}, open_rod_sides(2));
    b.drive({.motor = true, .extend = true, .on_panel = true}, 6);
    b.drive(locked, 5);
    const auto apart = [&] { return b.c.position_m[1] - b.c.position_m[0]; };
    const double first = apart(), upper = b.c.position_m[1];
    for (int minute = 1; minute <= 3; ++minute) {
      CAPTURE(minute);
      b.drive(locked, 60);
      CHECK(near(apart() - first, minute * leak_m3_per_s_pa * load_pa / area * 60, 5e-3, 0));
    }
    CHECK(near(b.c.position_m[1], upper, 0, 1e-6));
  }
}
