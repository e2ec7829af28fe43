// A flow that is shared unevenly, and one that metering pistons share by force of their carriage.
#include <doctest/doctest.h>

#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::Bench;
using testing::bench_rig;

namespace {

constexpr double psi = 6894.757;
constexpr Drive extending{.motor = true, .extend = true, .on_panel = true};

}  // namespace

TEST_SUITE("limits/split") {
  TEST_CASE("limit: shared as 1 + eps to 1 - eps, the second rod is 2 eps S/(1 + eps) behind when the first arrives") {
    struct Row { double eps, mm; };   // of 250 mm
    for (const Row& row : {Row{0.02, 9.80}, {0.05, 23.81}, {0.10, 45.45}, {0.25, 100.0}}) {
      CAPTURE(row.eps);
      Rig r = bench_rig(2, SynchroniserKind::tee, 12e-6);   // equal rods on a tee share as their lines let them
      const double lengths[] = {3.0, 3.0 * (1 + row.eps) / (1 - row.eps)};
      for (std::size_t i = 0; i < 2; ++i) {
        Branch& b = r.branches[i];
        b.cap_line.bore_m = b.rod_line.bore_m = 3e-3;
        b.cap_line.length_m = b.rod_line.length_m = lengths[i];
      }
      Bench b(r);
      double apart = 0;
      b.drive(extending, 60, [&](const Contents& c, const FlowEngine::Quantum&) {
        apart = c.position_m[0] - c.position_m[1];
        return c.position_m[0] >= 0.25;
      });
      REQUIRE(b.c.position_m[0] == 0.25);
      CHECK(near(apart, 2 * row.eps * 0.25 / (1 + row.eps), 5e-3, 0));
      CHECK(near(apart, row.mm * 1e-3, 5e-3, 0));
      MESSAGE("eps " << row.eps << ": " << apart << " m, off by " << apart * (1 + row.eps) / (0.5 * row.eps) - 1);
    }
  }

  // The carriage's balance is that of two equal pumps on one shaft, for which a published circuit gives the numbers:
  // 1500 and 300 psi out of 900 in; 2000 in and one outlet free, 4000 at the blocked one.
  TEST_CASE("limit: in front of metering pistons stands the mean of the pressures behind them") {
    Rig r = bench_rig(2, SynchroniserKind::metering_pistons, 4e-6);
    const double area = cap_area_m2(r.branches[0].cylinder);
    r.panel.mass_kg = 1800 * psi * area / gravity_m_per_s2;
    r.panel.centre_of_mass = 300.0 / 1800;
    for (Branch& b : r.branches) b.rod_line.bore_m = 10e-3;   // no drop on the way back
    Bench b(r);
    b.drive(extending, 4);
    CHECK(b.c.position_m[1] > 0.01);
    CHECK(near(b.pressure("a.metering_chamber") - p0_pa_abs, 1500 * psi, 5e-3, 0));
    CHECK(near(b.pressure("b.metering_chamber") - p0_pa_abs, 300 * psi, 5e-3, 0));
    CHECK(near(b.pressure("synchroniser.drive") - p0_pa_abs, 900 * psi, 5e-3, 0));
  }

  TEST_CASE("limit: one way blocked and the other free, metering pistons press twice the pressure in front of them") {
    Rig r = bench_rig(2, SynchroniserKind::metering_pistons, 4e-6);
    r.valve_block.relief_pa_gauge = 2000 * psi - 4e-6 / r.valve_block.relief_gain_m3_per_s_pa;   // 2000 at all of Q
    Connections j;
    j.parted = {"a.cap_port"};
    j.line_end = Opening::capped;
    j.port = Opening::air;
    Bench b(r, {}, j);
    b.drive({.motor = true, .extend = true}, 20);
    CHECK(near(b.pressure("synchroniser.drive") - p0_pa_abs, 2000 * psi, 5e-3, 0));
    CHECK(near(b.pressure("b.metering_chamber") - p0_pa_abs, 0, 0, 1e-3 * 2000 * psi));
    CHECK(near(b.pressure("a.metering_chamber") - p0_pa_abs, 4000 * psi, 5e-3, 0));
    MESSAGE("blocked way " << (b.pressure("a.metering_chamber") - p0_pa_abs) / psi << " psi, other "
                           << (b.pressure("b.metering_chamber") - p0_pa_abs) / psi << ", in front "
                           << (b.pressure("synchroniser.drive") - p0_pa_abs) / psi);
  }
}
