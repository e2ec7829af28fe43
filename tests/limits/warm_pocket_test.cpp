// A pocket's heat by whole runs: the polytropic index is a result, from 1 (follows the wall) to 1.4 (keeps its heat).
#include <doctest/doctest.h>

#include <cmath>

#include "evenstroke/procedure/run.hpp"
#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::Bench;
using testing::bench_rig;

namespace {

constexpr double air_m3 = 1e-6, p_pa_abs = p0_pa_abs + 28e5;

/// Two equal columns under 28 bar gauge; nearly no drop in the lines.
Rig pair_rig(double pocket_heat) {
  Rig r = bench_rig(2, SynchroniserKind::metering_pistons, 12e-6);
  for (Branch& b : r.branches) {
    b.cylinder.cap_clearance_m3 = 3e-6;
    b.cylinder.viscous_n_s_per_m = 400;
    b.cap_line.bore_m = b.rod_line.bore_m = 8e-3;
  }
  r.synchroniser.viscous_n_s_per_m = 800;
  r.panel.mass_kg = 2 * 28e5 * cap_area_m2(r.branches[0].cylinder) / gravity_m_per_s2;
  r.air.pocket_heat = pocket_heat;
  return r;
}

/// Gas instead of oil under the roof of branch `a`, which stands rod down: its cap port is at the roof.
Contents with_pocket(const Rig& r) {
  const Network n = make_network(r);
  Contents c = bled(r);
  c.masses[static_cast<std::size_t>(n.place("a.cap_chamber"))].pocket_kg = air_m3 * p0_pa_abs / n.gas_j_per_kg;
  c.recipe.valid = false;
  return fit(c, n);
}

Run one_stroke(const Rig& r) {
  const Procedure p{.name = "one", .steps = {{.dwell_s = 1, .rods = Rods::panel}}, .max_strokes = 1};
  return evenstroke::run(r, with_pocket(r), p);
}

}  // namespace

TEST_SUITE("limits/warm_pocket") {
  TEST_CASE("limit: the index of a stroke is 1 for a pocket that follows the wall, 1.4 for one that keeps its heat") {
    const auto index = [](double pocket_heat) {
      const Run run = one_stroke(pair_rig(pocket_heat));
      REQUIRE(run.status.ok());
      REQUIRE(run.strokes.size() == 2);
      return run.strokes[1].apparent_index.value();
    };
    const double isothermal = index(0), between = index(1), adiabatic = index(1e9);
    CHECK(near(isothermal, 1, 1e-12, 0));
    CHECK(near(adiabatic, 1.4, 1e-6, 0));
    CHECK(between > 1.02);
    CHECK(between < 1.399);
    MESSAGE("index " << isothermal << ", " << between << ", " << adiabatic);
  }

  TEST_CASE("limit: a rod lags by V0 [1 - (p0/p)^(1/n)]/A: 3.07 mm per mL when it is cool, 2.89 when hot") {
    struct Row { double pocket_heat, n, mm; };   // at 28 bar on a 20 mm bore
    for (const Row& row : {Row{0, 1, 3.072}, Row{1e9, 1.4, 2.894}}) {
      CAPTURE(row.n);
      const Rig r = pair_rig(row.pocket_heat);
      const Run run = one_stroke(r);
      REQUIRE(run.strokes[0].load.state == CheckState::ok);
      const double area = cap_area_m2(r.branches[0].cylinder);
      const double expected = air_m3 * (1 - std::pow(p0_pa_abs / p_pa_abs, 1 / row.n)) / area;
      for (const double e : run.strokes[0].air_part_m) CHECK(near(-e, expected, 5e-3, 0));
      CHECK(near(expected, row.mm * 1e-3, 1e-3, 0));
      MESSAGE("lag off by " << -run.strokes[0].air_part_m[1] / expected - 1);
    }
  }

  TEST_CASE("limit: held at a pressure a hot pocket cools to the wall in R^2/(5.8 D_th), and the rod goes on sinking") {
    constexpr double thermal_m2_per_s = 2.1e-5;   // of air at 1 atm and 20 deg C, from memory
    for (const double p_gauge : {3e5, 28e5}) {
      CAPTURE(p_gauge);
      Rig r = bench_rig(1, SynchroniserKind::tee, 6e-6);
      const double area = cap_area_m2(r.branches[0].cylinder), p = p0_pa_abs + p_gauge;
      r.panel.mass_kg = p_gauge * area / gravity_m_per_s2;
      r.air.pocket_heat = 1;
      r.branches[0].cylinder.attitude = Attitude::rod_up;   // the port lies low: no gas strays into the line
      Connections j;   // rod side open to the air
      j.parted = {"a.rod_port"};
      j.port = Opening::air;
      Bench b(r, {.quantum_share = 1e-3}, j);
      b.c.position_m[0] = 0.125;
      b.c.masses[b.index("a.cap_chamber")].pocket_kg = air_m3 * p0_pa_abs / b.net.gas_j_per_kg;
      b.fill();
      const double radius = b.cylinder().bore_m / 2, tau_s = radius * radius / (5.8 * thermal_m2_per_s) * p / p0_pa_abs;
      b.drive({.on_panel = true}, 0.1 * tau_s);
      const auto warmth = [&] { return b.c.pocket_k[b.index("a.cap_chamber")] - r.oil.temperature_k; };
      CHECK(warmth() > 50);
      const double hot = warmth(), at_hot_m = b.c.position_m[0];
      b.drive({.on_panel = true}, tau_s);
      const double cooling = std::log(hot / warmth());
      CHECK(near(cooling, 1, 2e-3, 0));
      const double v_m3 = air_m3 * p0_pa_abs / p;   // when cool; hot, more by T/T_wall
      const double sunk = v_m3 * (hot - warmth()) / r.oil.temperature_k / area;
      CHECK(near(at_hot_m - b.c.position_m[0], sunk, 5e-3, 0));
      b.drive({.on_panel = true}, 30 * tau_s);
      CHECK(std::abs(warmth()) < 1e-4 * hot);
      MESSAGE("time constant " << tau_s << " s off by " << cooling - 1 << ", sinking by "
                               << (at_hot_m - b.c.position_m[0]) * area * r.oil.temperature_k / (v_m3 * hot) - 1);
    }
  }
}
