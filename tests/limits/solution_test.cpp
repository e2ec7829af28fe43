// Air in solution: what a shut-in column takes up and gives off when it has all the time in the world, when it has
// none, and how long a bubble lasts in between.
//   S  Bunsen coefficient   L = S T/273.15 K  Ostwald coefficient   a  free air, share of the whole at p0
#include <doctest/doctest.h>

#include <cmath>

#include "evenstroke/procedure/run.hpp"
#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::rod_side_open;
using testing::Bench;
using testing::bench_rig;
using testing::workshop_rig;

namespace {

constexpr Drive locked{.on_panel = true};
constexpr double bunsen = 0.09, t_k = 293.15, t_normal_k = 273.15, ostwald_ratio = bunsen * t_k / t_normal_k;

/// A load on one rod, cap side shut in behind the valve, rod side open to the air. Oil saturated at p0.
Rig held_at(double p_pa_abs) {
  Rig r = bench_rig(1, SynchroniserKind::tee, 6e-6);
  r.oil.temperature_k = t_k;
  r.air.bunsen = bunsen;
  r.panel.mass_kg = (p_pa_abs - p0_pa_abs) * cap_area_m2(r.branches[0].cylinder) / gravity_m_per_s2;
  return r;
}

/// Lays fine bubbles into the cap chamber, with the rod half out: `share` of the chamber at p0.
void lay_bubbles(Bench& b, double share) {
  b.c.position_m[0] = 0.125;
  const std::size_t p = b.index("a.cap_chamber");
  const double volume = available_m3(b.net, b.c, b.net.place("a.cap_chamber")), before = b.c.masses[p].oil_kg;
  Masses& m = b.c.masses[p];
  m.oil_kg = (1 - share) * volume * b.net.rho0_kg_per_m3;
  m.dissolved_kg *= m.oil_kg / before;
  m.fine_kg = share * volume * p0_pa_abs / b.net.gas_j_per_kg;
  b.fill();
}

/// Both ways in a thirtieth of a second (near saturation longer), so that minutes are for ever; too small to rise.
void soon(Rig& r) {
  constexpr double rate_per_s = 30;
  r.air.fine_m = 3e-6;
  r.air.diffusivity_m2_per_s = rate_per_s * r.air.fine_m * r.air.fine_m / (12 * ostwald_ratio);
  r.air.release_s = 1 / rate_per_s;
}

/// Returns the chamber's pressure as the flow of the last quantum leaves it.
double hold(Bench& b, double time_s) {
  double p = 0;
  b.drive(locked, time_s, [&](const Contents& c, const FlowEngine::Quantum&) {
    p = c.pressure_pa_abs[b.index("a.cap_chamber")];
    return false;
  });
  return p;
}

double fine_kg(const Bench& b) { return held(b.c, b.net.place("a.cap_chamber")).fine_kg; }

/// Radius of a bubble of diameter d0 at p0, under p.
double radius_m(double d0_m, double p) { return d0_m / 2 * std::cbrt(p0_pa_abs / p); }

}  // namespace

TEST_SUITE("limits/solution") {
  TEST_CASE("limit: at equilibrium free air is gone from p0 + a/(1 - a) p0 (273.15 K/T)/S on, in a line before") {
    for (const double a : {0.005, 0.01, 0.03, 0.05}) {
      CAPTURE(a);
      const double gone_pa_abs = p0_pa_abs * (1 + a / (1 - a) * t_normal_k / t_k / bunsen);
      for (const double way : {0.25, 0.5, 0.9, 1.05}) {
        CAPTURE(way);
        const double p = p0_pa_abs + way * (gone_pa_abs - p0_pa_abs);
        Rig r = held_at(p);
        soon(r);
        Bench b(r, {.quantum_share = 0.005, .pressure_tol_pa = 1}, rod_side_open());
        lay_bubbles(b, a);
        const double at_first_kg = fine_kg(b);
        const double at_last_pa_abs = hold(b, 300);
        CHECK(near(at_last_pa_abs, p, 1e-3, 0));
        const double left = (gone_pa_abs - at_last_pa_abs) / (gone_pa_abs - p0_pa_abs);   // 1 Pa costs up to 0.2 %
        if (way < 1) CHECK(near(fine_kg(b) / at_first_kg, left, 5e-3, 0));
        else CHECK(fine_kg(b) <= 1e-6 * at_first_kg);
        if (way < 1) MESSAGE("left " << fine_kg(b) / at_first_kg << ", off by " << fine_kg(b) / at_first_kg / left - 1);
      }
    }
  }

  TEST_CASE("limit: the pressures at which 0.5, 1, 3 and 5 % of air are gone are 1.066, 1.119, 1.338 and 1.565 bar") {
    struct Row { double share, bar; };   // S = 0.09, 20 deg C; arithmetic of Henry's law, not a measurement
    for (const Row& row : {Row{0.005, 1.066}, Row{0.01, 1.119}, Row{0.03, 1.338}, Row{0.05, 1.565}})
      for (const double off_bar : {-0.002, 0.002}) {
        CAPTURE(row.share);
        CAPTURE(off_bar);
        Rig r = held_at((row.bar + off_bar) * 1e5);
        soon(r);
        Bench b(r, {.quantum_share = 0.01, .pressure_tol_pa = 1}, rod_side_open());
        lay_bubbles(b, row.share);
        const double at_first_kg = fine_kg(b);
        hold(b, 300);
        if (off_bar < 0) CHECK(fine_kg(b) > 2e-3 * at_first_kg);
        else CHECK(fine_kg(b) <= 1e-4 * at_first_kg);
      }
  }

  TEST_CASE("limit: without time to dissolve a run is bit for bit that of oil that dissolves nothing") {
    Rig r = workshop_rig(SynchroniserKind::metering_pistons);
    r.air.diffusivity_m2_per_s = 0;
    r.air.release_s = 1e12;
    const Procedure p{.name = "two", .steps = {{.dwell_s = 2, .rods = Rods::panel}}, .max_strokes = 2};
    const auto rows = [&](double s) {
      r.air.bunsen = s;
      return evenstroke::run(r, after_exchange(r, {"a.cap_line"}, {"b.cap_line"}), p);
    };
    const Run with = rows(0.09), without = rows(0.0);
    REQUIRE(with.status.ok());
    REQUIRE(with.strokes.size() == 3);
    REQUIRE(without.strokes.size() == 3);
    CHECK(with.strokes[0].dissolved_m3 > 1e-6);
    CHECK(without.strokes[0].dissolved_m3 == 0);
    for (std::size_t i = 0; i < 3; ++i) {
      CHECK(with.strokes[i].load.mismatch_m == without.strokes[i].load.mismatch_m);
      CHECK(with.strokes[i].free.mismatch_m == without.strokes[i].free.mismatch_m);
      CHECK(with.strokes[i].free_air_m3 == without.strokes[i].free_air_m3);
      CHECK(with.strokes[i].time_s == without.strokes[i].time_s);
    }
    CHECK(with.contents.pressure_pa_abs == without.contents.pressure_pa_abs);
  }

  TEST_CASE("limit: bled oil, saturated at p0 and held at p below it by a pull, fills with L (p0 - p)/p of bubbles") {
    for (const double p : {0.95e5, 0.8e5, 0.7e5, 0.5e5}) {
      CAPTURE(p);
      Rig r = held_at(p0_pa_abs);
      r.panel.mass_kg = 0;
      r.air.release_s = 0.5;
      Connections j = rod_side_open();
      j.by_hand = {"a"};
      j.hand_n = (p0_pa_abs - p) * cap_area_m2(r.branches[0].cylinder);
      Bench b(r, {.quantum_share = 0.0025, .pressure_tol_pa = 1}, j);   // coarser, pressure undershoots and too much is released
      b.c.position_m[0] = 0.05;
      b.fill();
      CHECK(total(b.c).gas_kg() == 0.0);
      b.drive({.hand = 1}, 60);
      CHECK(near(b.pressure("a.cap_chamber"), p, 1e-4, 0));
      const double expected = ostwald_ratio * (p0_pa_abs - p) / p;   // at 0.7 bar: 4.32 %
      Masses all;   // of the three places that the closed valve shuts in
      for (const char* place : {"a.cap_chamber", "a.cap_line", "valve_block.a"}) {
        const Masses m = held(b.c, b.net.place(place));
        all.oil_kg += m.oil_kg;
        all.fine_kg += m.gas_kg();
      }
      const double share = all.fine_kg * b.net.gas_j_per_kg / p / (all.oil_kg / b.net.rho0_kg_per_m3);
      CHECK(near(share, expected, 2e-3, 0));
      if (p == 0.7e5) CHECK(near(share, 0.0432, 2e-3, 0));
      MESSAGE("bubbles " << share << ", off by " << share / expected - 1);
    }
  }

  TEST_CASE("limit: under pressure fine bubbles go by Epstein and Plesset: 3/2 over the life R^2/[2 D L (1 - p0/p)]") {
    constexpr double d_m2_per_s = 3e-10;
    for (const double d0_m : {0.05e-3, 0.1e-3, 0.2e-3})
      for (const double p : {2e5, 5e5, 20e5, 50e5, 120e5}) {
        CAPTURE(d0_m);
        CAPTURE(p);
        Rig r = held_at(p);
        r.air.fine_m = d0_m;
        r.air.diffusivity_m2_per_s = d_m2_per_s;
        r.oil.nu_40_m2_per_s = 800e-6;   // so that few rise meanwhile
        r.oil.nu_100_m2_per_s = 70e-6;
        Bench b(r, {.quantum_share = 0.02, .pressure_tol_pa = 1}, rod_side_open());
        lay_bubbles(b, 1e-5);            // a trace: the oil stays as far from saturation as it was
        const double radius = radius_m(d0_m, p), l = ostwald_ratio;
        const double life_s = radius * radius / (2 * d_m2_per_s * l * (1 - p0_pa_abs / p));
        b.drive(locked, 0.05 * life_s);  // the load has come on, the pressure stands
        const Masses m0 = held(b.c, b.net.place("a.cap_chamber"));
        b.drive(locked, 0.5 * life_s);
        const Masses m1 = held(b.c, b.net.place("a.cap_chamber"));
        const double risen = (m1.pocket_kg - m0.pocket_kg) / (m0.fine_kg - m1.fine_kg);   // of those gone, to the roof
        const double rate_per_s = (1 - risen) * std::log(m0.fine_kg / m1.fine_kg) / (0.5 * life_s);
        CHECK(risen < 0.1);
        CHECK(near(rate_per_s * life_s, 1.5, 5e-3, 0));
        MESSAGE("life " << life_s << " s, rate off by " << rate_per_s * life_s / 1.5 - 1);
      }
  }
}
