// Bubbles in numbers, by the full simulator: what a reservoir holds back of a stream, how long a fine bubble lasts
// under pressure, and that none goes into oil that is full.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "support/bench.hpp"
#include "support/bubble_laws.hpp"
#include "support/line_air.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

constexpr Drive locked{.on_panel = true};
constexpr double ostwald = 0.09, t_k = 293.15;

/// Cap side shut in under `p`, rod side open to the air; oil saturated at p0, thick, so that few bubbles rise.
Rig held_at(double p_pa_abs, double fine_m) {
  Rig r = bench_rig(1, SynchroniserKind::tee, 6e-6);
  r.oil.temperature_k = t_k;
  r.oil.nu_40_m2_per_s = 800e-6;
  r.oil.nu_100_m2_per_s = 70e-6;
  r.air.bunsen = ostwald * 273.15 / t_k;
  r.air.diffusivity_m2_per_s = 2e-10;
  r.air.fine_m = fine_m;
  r.panel.mass_kg = (p_pa_abs - p0_pa_abs) * cap_area_m2(r.branches[0].cylinder) / gravity_m_per_s2;
  return r;
}

void lay_trace(Bench& b) {
  b.c.position_m[0] = 0.125;
  b.c.masses[b.index("a.cap_chamber")].fine_kg =
      1e-5 * available_m3(b.net, b.c, b.net.place("a.cap_chamber")) * p0_pa_abs / b.net.gas_j_per_kg;
  b.fill();
}

}  // namespace

TEST_SUITE("limits/bubble_numbers") {
  TEST_CASE("limit: at 1 L/min 100 cm2 hold back 0.102, 0.408 and all of bubbles of 0.1, 0.2 and 0.5 mm, 32 mm2/s") {
    for (const auto& [d_m, share] : {std::pair{0.1e-3, 0.102}, {0.2e-3, 0.408}, {0.5e-3, 1.0}}) {
      const auto shown_d_m = d_m;   // clang 14 captures no structured binding
      CAPTURE(shown_d_m);
      Rig r = bench_rig(1, SynchroniserKind::tee, 0);
      r.oil = oil_by_grade(32);
      r.oil.temperature_k = 313.15;
      r.oil.density_15_kg_per_m3 = 860 * (1 + r.oil.expansion_per_k * 25);   // 860 at 40 deg C
      r.air.fine_m = d_m;
      r.air.saturation = 0;
      r.reservoir.area_m2 = 100e-4;
      r.reservoir.oil_m3 = 1e-3;
      const Cylinder& c = r.branches[0].cylinder;
      constexpr double flow = 1e-3 / 60;
      r.pump.displacement_m3_per_rad = flow * rod_area_m2(c) / cap_area_m2(c) * 0.032 / 12;
      Line& line = r.branches[0].cap_line;
      line = {.bore_m = 8e-3, .length_m = 0.2, .wall_m = 20e-3, .wall_modulus_pa = 500e9, .minor_loss = 0};
      Bench b(r, {.streamtubes = 1});
      b.c.position_m[0] = c.stroke_m;
      b.fill();
      Contents with = b.c;
      lay_bubbles(b.net, with, "a.cap_line", fine, 0, 1, 1e-8, make_streamtubes(1));
      b.take(with);
      const double gas_kg = total(b.c).gas_kg();
      b.drive({.motor = true, .retract = true}, 3);   // five times what the line holds
      CHECK(held(b.c, b.net.place("a.cap_line")).gas_kg() < 1e-3 * gas_kg);
      const double away = b.c.ledger.air_vented_kg + b.c.reservoir.foam_kg;
      CHECK(near(away / gas_kg, share, 5e-3, 0));
      MESSAGE("d " << d_m << " held back " << away / gas_kg);
    }
  }

  TEST_CASE("limit: under 50 bar a bubble of 0.05 mm radius lasts 71 s, R^2/[2 D L (1 - p0/p)]") {
    constexpr double p = 50e5;
    const Rig r = held_at(p, 0.1e-3 * std::cbrt(p / p0_pa_abs));   // its diameter at p0
    Bench b(r, {.quantum_share = 0.02, .pressure_tol_pa = 1}, rod_side_open());
    lay_trace(b);
    b.drive(locked, 2);
    const Masses m0 = held(b.c, b.net.place("a.cap_chamber"));
    b.drive(locked, 30);
    const Masses m1 = held(b.c, b.net.place("a.cap_chamber"));
    const double risen = (m1.pocket_kg - m0.pocket_kg) / (m0.fine_kg - m1.fine_kg);
    // mass goes with R^3, R^2 evenly
    const double life_s = 1.5 * 30 / ((1 - risen) * std::log(m0.fine_kg / m1.fine_kg));
    CHECK(risen < 0.1);
    CHECK(near(life_s, 70.9, 5e-3, 0));   // 2.5e-9/(2 x 2e-10 x 0.09 x 0.9797)
    MESSAGE("life " << life_s << " s");
  }

  TEST_CASE("limit: in oil that is full no bubble goes, in two hours") {
    Bench b(held_at(p0_pa_abs, 0.1e-3), {.quantum_share = 0.02, .pressure_tol_pa = 1}, rod_side_open());
    lay_trace(b);
    b.drive(locked, 5);
    const double free_kg = total(b.c).gas_kg();
    REQUIRE(free_kg > 0);
    b.drive(locked, 7200);
    CHECK(near(total(b.c).gas_kg(), free_kg, 5e-3, 0));
    MESSAGE("free gas off by " << total(b.c).gas_kg() / free_kg - 1);
  }
}
