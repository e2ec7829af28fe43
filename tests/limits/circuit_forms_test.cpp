// What handbooks say in one line each of a cylinder, a pump and a shut-in column, by the full simulator.
#include <doctest/doctest.h>

#include <array>
#include <cmath>

#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::Bench;
using testing::bench_rig;

namespace {

constexpr double flow_m3_per_s = 6e-6;   // 0.36 L/min
constexpr Drive extending{.motor = true, .extend = true, .on_panel = true};
constexpr Drive retracting{.motor = true, .retract = true};
constexpr Drive locked{.on_panel = true};

Rig loaded(double load_n) {
  Rig r = bench_rig(1, SynchroniserKind::tee, flow_m3_per_s);
  r.panel.mass_kg = load_n / gravity_m_per_s2;
  return r;
}

const std::array<const char*, 3> cap_side{"valve_block.a", "a.cap_line", "a.cap_chamber"};
const std::array<const char*, 3> rod_side{"valve_block.b", "a.rod_line", "a.rod_chamber"};

/// Volume of oil behind the closed valve on one side, and what its walls give as if they were oil.
double shut_in_m3(const Bench& b, const std::array<const char*, 3>& side) {
  double v = 0;
  for (const char* place : side) {
    const std::size_t i = b.index(place);
    v += held(b.c, static_cast<int>(i)).oil_kg / b.net.rho0_kg_per_m3 +
         b.net.places[i].wall_m3_per_pa * b.net.liquid.k0_pa;
  }
  return v;
}

void add_pocket(Bench& b, double free_air_m3) {
  b.c.masses[b.index("a.cap_chamber")].pocket_kg += free_air_m3 * p0_pa_abs / b.net.gas_j_per_kg;
}

Connections parted(const char* joint, Opening port) {
  Connections j;
  j.parted = {joint};
  j.port = port;
  return j;
}
/// Rod-side port open to the air: the rod side neither pulls nor pushes.
Connections rod_side_open() { return parted("a.rod_port", Opening::air); }

/// Shut in at x under a load, slowly; then the load changes and the rod gives way [m].
double gives_way_m(Bench& from, Rig r, double step_n, double hold_s, const Connections& joints = {}) {
  from.drive(locked, hold_s);
  r.panel.mass_kg += step_n / gravity_m_per_s2;
  Bench to(r, {.quantum_share = 0.005}, joints);
  to.take(from.c);
  to.drive(locked, 0.2);
  return from.c.position_m[0] - to.c.position_m[0];
}

}  // namespace

TEST_SUITE("limits/circuit_forms") {
  TEST_CASE("limit: a rod retracts at the pump's flow over its annulus, phi times as fast as it extends") {
    Bench b(bench_rig(1, SynchroniserKind::tee, flow_m3_per_s));
    const double ac = cap_area_m2(b.cylinder()), ar = rod_area_m2(b.cylinder());
    const auto speed = [&](const Drive& d) {
      b.drive(d, 1.5);
      const double x = b.c.position_m[0], t = b.c.time_s;
      b.drive(d, 2.0);
      return (b.c.position_m[0] - x) / (b.c.time_s - t);
    };
    const double out = speed(extending);
    b.drive(extending, 3.0);
    const double in = speed(retracting);
    CHECK(near(out, flow_m3_per_s / ac, 1e-3, 0));
    CHECK(near(-in, flow_m3_per_s / ar, 1e-3, 0));
    MESSAGE("extending off by " << out * ac / flow_m3_per_s - 1 << ", retracting by " << -in * ar / flow_m3_per_s - 1);
  }

  TEST_CASE("limit: a slow rod works at p = W/A, and stalls where W/A is what the relief valve holds") {
    Rig r = loaded(900);
    r.valve_block.relief_pa_gauge = 30e5;
    const double ac = cap_area_m2(r.branches[0].cylinder), ar = rod_area_m2(r.branches[0].cylinder);
    Bench b(r);
    b.drive(extending, 4);
    const double back = b.pressure("a.rod_chamber") - p0_pa_abs, v = flow_m3_per_s / ac;
    CHECK(b.c.position_m[0] > 0.05);
    CHECK(near(b.pressure("a.cap_chamber") - p0_pa_abs, (900 + back * ar + v * 1.0) / ac, 1e-6, 0));   // B = 1 N s/m
    CHECK(near(b.pressure("a.cap_chamber") - p0_pa_abs, 900 / ac, 5e-3, 0));   // the back pressure is 0.1 bar

    // All of the flow goes back through the relief at crack + Q/G (its corner moves the line by less than 0.5 bar).
    const double holds_pa = 30e5 + flow_m3_per_s / r.valve_block.relief_gain_m3_per_s_pa;
    for (const double share : {0.995, 1.005}) {
      CAPTURE(share);
      r.panel.mass_kg = share * holds_pa * ac / gravity_m_per_s2;
      Bench s(r);
      s.drive(extending, 20);
      if (share > 1) CHECK(s.c.position_m[0] == 0.0);
      else CHECK(s.c.position_m[0] > 1e-3);
    }
  }

  TEST_CASE("limit: the stiffness of a shut-in rod is K (A_c^2/V_c + A_r^2/V_r), least where V_c/V_r = phi^(3/2)") {
    constexpr double preload_pa = 60e5, step_n = 600;   // on the rod side, so that it can give without a cavity
    Rig r = loaded(300);
    r.branches[0].cap_line.length_m = r.branches[0].rod_line.length_m = 1.2;
    const double ac = cap_area_m2(r.branches[0].cylinder), ar = rod_area_m2(r.branches[0].cylinder);
    double expected = 0;
    const auto measured = [&](double x_m) {
      Bench b(r);
      b.c.position_m[0] = x_m;
      for (const char* place : cap_side) b.c.pressure_pa_abs[b.index(place)] += (300 + preload_pa * ar) / ac;
      for (const char* place : rod_side) b.c.pressure_pa_abs[b.index(place)] += preload_pa;
      b.fill();
      expected = b.net.liquid.k0_pa * (ac * ac / shut_in_m3(b, cap_side) + ar * ar / shut_in_m3(b, rod_side));
      return step_n / gives_way_m(b, r, step_n, 1);
    };
    const double s = r.branches[0].cylinder.stroke_m, phi = ac / ar, k = phi * std::sqrt(phi);
    const Line& line = r.branches[0].cap_line;   // its wall gives as some more oil would
    const double wall = wall_compliance_per_pa(line) * liquid_law(r.oil, r.oil.temperature_k).k0_pa;
    const double dead = r.valve_block.passage_m3 + 1e-7 + volume_m3(line) * (1 + wall);
    const double weakest_m = (k * (dead + ar * s) - dead) / (ac + k * ar);   // from V_c = phi^(3/2) V_r
    for (const double x_m : {0.05, weakest_m, 0.22}) {
      CAPTURE(x_m);
      const double stiffness = measured(x_m);
      CHECK(near(stiffness, expected, 1e-3, 0));
      MESSAGE("stiffness off by " << stiffness / expected - 1);
    }
    const double d = 0.1 * s, at = measured(weakest_m);
    const double below = measured(weakest_m - d), above = measured(weakest_m + d);
    CHECK(below > at);
    CHECK(above > at);
    const double closer = 0.01 * s, left = measured(weakest_m - closer), right = measured(weakest_m + closer);
    const double lowest_m = weakest_m + 0.5 * closer * (left - right) / (left - 2 * at + right);
    CHECK(near(lowest_m, weakest_m, 2e-3, 0));
    MESSAGE("its place off by " << lowest_m / weakest_m - 1);
  }

  TEST_CASE("limit: with air in it a column's stiffness is A^2/[V/K + (V0 p0/p)/(n p)], n 1 when warm, 1.4 at once") {
    for (const double p_gauge : {2e5, 10e5, 28e5})
      for (const bool warm : {true, false}) {
        CAPTURE(p_gauge);
        CAPTURE(warm);
        Rig r = loaded(1);
        const double ac = cap_area_m2(r.branches[0].cylinder), p = p0_pa_abs + p_gauge, n = warm ? 1 : 1.4;
        const double load = p_gauge * ac, step = 0.002 * load, air_m3 = 2e-6;
        r.panel.mass_kg = (load - step / 2) / gravity_m_per_s2;
        Bench b(r, {.quantum_share = 0.005}, rod_side_open());
        b.c.position_m[0] = 0.125;
        add_pocket(b, air_m3);
        b.fill();
        const double oil_m3_per_pa = shut_in_m3(b, cap_side) / b.net.liquid.k0_pa;
        const double expected = ac * ac / (oil_m3_per_pa + air_m3 * p0_pa_abs / p / (n * p));
        r.air.pocket_heat = warm ? 0 : 1000;   // slowly under load, then a quick step
        const double stiffness = step / gives_way_m(b, r, step, 5, rod_side_open());
        CHECK(near(stiffness, expected, 5e-3, 0));
        MESSAGE("stiffness off by " << stiffness / expected - 1);
      }
  }

  TEST_CASE("limit: a rod whose rod-side port is blocked presses it up to (p_c A_c - W)/A_r") {
    for (const double load_n : {0.0, 700.0}) {
      CAPTURE(load_n);
      Rig r = loaded(load_n);
      r.valve_block.relief_pa_gauge = 90e5;
      Bench b(r, {}, parted("a.rod_port", Opening::capped));
      b.c.position_m[0] = 0.05;
      b.fill();
      b.drive(extending, 5);
      const double ac = cap_area_m2(b.cylinder()), ar = rod_area_m2(b.cylinder());
      const double cap = b.pressure("a.cap_chamber") - p0_pa_abs, rod = b.pressure("a.rod_chamber") - p0_pa_abs;
      CHECK(near(cap, 90e5 + flow_m3_per_s / r.valve_block.relief_gain_m3_per_s_pa, 2e-3, 0));   // all over the relief
      CHECK(near(rod, (cap * ac - load_n) / ar, 1e-5, 0));
      CHECK(rod > 1.15 * cap);   // more than the relief valve lets the pump give
    }
  }

  TEST_CASE("limit: a flow into a shut volume that leaks builds up to p = (Q/k)(1 - exp(-t k K/V))") {
    constexpr double k_leak = 1.2e-12;   // 50 bar at all of the flow
    Rig r = bench_rig(1, SynchroniserKind::tee, flow_m3_per_s);
    r.branches[0].cylinder.leak_m3_per_s_pa = k_leak;
    Bench b(r, {.quantum_share = 0.002});
    b.c.position_m[0] = 0.25;
    b.fill();
    const double volume = shut_in_m3(b, cap_side) + r.valve_block.passage_m3;
    const double tau_s = volume / (b.net.liquid.k0_pa * k_leak);
    for (int i = 0; i < 3; ++i) {
      b.drive(extending, tau_s);
      const double p = flow_m3_per_s / k_leak * -std::expm1(-b.c.time_s / tau_s);
      CHECK(near(b.pressure("a.cap_chamber") - p0_pa_abs, p, 5e-3, 0));
      MESSAGE("after " << i + 1 << " time constants off by " << (b.pressure("a.cap_chamber") - p0_pa_abs) / p - 1);
    }
  }

  TEST_CASE("limit: air makes a shut volume slow to come under pressure, t = {V0 (1 - p0/p) + V (p - p0)/K}/Q") {
    for (const double air_m3 : {0.0, 2e-6}) {
      CAPTURE(air_m3);
      Bench b(bench_rig(1, SynchroniserKind::tee, flow_m3_per_s));
      b.c.position_m[0] = 0.25;
      if (air_m3 > 0) add_pocket(b, air_m3);
      b.fill();
      const double oil = shut_in_m3(b, cap_side) + 1e-7, p = p0_pa_abs + 28e5;
      double at_s = 0, last_s = 0, last_p = p0_pa_abs;
      b.drive(extending, 10, [&](const Contents& c, const FlowEngine::Quantum&) {
        const double now = c.pressure_pa_abs[b.index("a.cap_chamber")];
        if (at_s == 0 && now >= p) at_s = last_s + (c.time_s - last_s) * (p - last_p) / (now - last_p);
        last_s = c.time_s;
        last_p = now;
        return at_s > 0;
      });
      const double expected_s = (air_m3 * (1 - p0_pa_abs / p) + oil * 28e5 / b.net.liquid.k0_pa) / flow_m3_per_s;
      CHECK(near(at_s, expected_s, 5e-3, 0));
      MESSAGE("time off by " << at_s / expected_s - 1);
    }
  }

  TEST_CASE("limit: a pocket shut in at p0 costs V0 (1 - p0/p)/A, and half as much load again V0 (p0/p - p0/1.5 p)/A") {
    // Gauge pressure and what air has lost by then: 1 - p0/p.
    for (const double p_gauge : {2e5, 5e5, 10e5, 20e5, 30e5, 60e5, 120e5}) {
      CAPTURE(p_gauge);
      constexpr double air_m3 = 1e-6;
      Rig r = loaded(1);
      const double ac = cap_area_m2(r.branches[0].cylinder), p = p0_pa_abs + p_gauge;
      r.panel.mass_kg = p_gauge * ac / gravity_m_per_s2;
      Bench b(r, {.quantum_share = 0.005}, rod_side_open());
      b.c.position_m[0] = 0.125;
      add_pocket(b, air_m3);
      b.fill();
      const double oil_m3_per_pa = shut_in_m3(b, cap_side) / b.net.liquid.k0_pa;
      const double more_pa = 0.5 * p;
      const double more = gives_way_m(b, r, more_pa * ac, 2, rod_side_open());
      const double sunk = 0.125 - b.c.position_m[0];
      CHECK(near(sunk, (air_m3 * (1 - p0_pa_abs / p) + oil_m3_per_pa * p_gauge) / ac, 1e-3, 0));
      CHECK(near(more, (air_m3 * (p0_pa_abs / p - p0_pa_abs / (1.5 * p)) + oil_m3_per_pa * more_pa) / ac, 3e-3, 0));
      MESSAGE("off by " << sunk * ac / (air_m3 * (1 - p0_pa_abs / p) + oil_m3_per_pa * p_gauge) - 1);
    }
  }

  TEST_CASE("limit: a column of oil alone gives way by V p/(K A)") {
    for (const double length_m : {0.5, 2.0, 10.0}) {
      CAPTURE(length_m);
      Rig r = loaded(1);
      const double ac = cap_area_m2(r.branches[0].cylinder);
      r.branches[0].cap_line.length_m = length_m;
      r.panel.mass_kg = 28e5 * ac / gravity_m_per_s2;
      Bench b(r, {}, rod_side_open());
      b.c.position_m[0] = 0.125;
      b.fill();
      b.drive(locked, 2);
      const double sunk = 0.125 - b.c.position_m[0];
      const double expected = shut_in_m3(b, cap_side) * 28e5 / (b.net.liquid.k0_pa * ac);
      CHECK(near(sunk, expected, 2e-3, 0));
      MESSAGE("off by " << sunk / expected - 1);
    }
  }
}
