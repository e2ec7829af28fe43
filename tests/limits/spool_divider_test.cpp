// A spool divider against its own algebra, which the full simulator does not use:
//   eps = (Q_1 - Q_2)/(Q_1 + Q_2) = delta/(4 dp)      delta = (k x + flow forces)/A_s      dp = (rho/2)(Q/(2 Cd A_f))^2
#include <doctest/doctest.h>

#include <cmath>
#include <vector>

#include "support/bench.hpp"
#include "support/kinds.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

/// Loads as 4 to 6 on rods that do not twist the panel; openings turbulent from nearly no flow on.
Rig divided(SynchroniserKind kind, double flow_m3_per_s, double flow_force = 0) {
  Rig r = with_kind(bench_rig(2, kind, flow_m3_per_s), kind);
  r.spool.transition_re = 1;
  r.synchroniser.outlet_m3 = 0.3e-6;
  r.spool.flow_force = flow_force;
  r.spool.spool_breakaway_n = 0;
  r.panel = {.mass_kg = 180, .centre_of_mass = 0.6};
  for (Branch& b : r.branches) b.cylinder.viscous_n_s_per_m = 50;
  return r;
}

struct Steady { double q[2], delta_pa, spool_m, edge_pa[2]; };

/// Flows, and what the spool feels, half way out.
Steady half_way(const Rig& r, bool out = true) {
  Bench b(r, {.quantum_share = 0.01});
  if (!out) {
    for (const int i : {0, 1}) b.c.position_m[static_cast<std::size_t>(i)] = 0.25;
    b.fill();
  }
  std::vector<double> t, x, y;
  Steady s{};
  b.drive({.motor = true, .extend = out, .retract = !out, .on_panel = true}, 200, [&](const Contents& c, const FlowEngine::Quantum&) {
    const double lead = out ? std::max(c.position_m[0], c.position_m[1]) : std::min(c.position_m[0], c.position_m[1]);
    if (out ? lead > 0.08 : lead < 0.17) {
      t.push_back(c.time_s), x.push_back(c.position_m[0]), y.push_back(c.position_m[1]);
      s.delta_pa = b.pressure("a.divider") - b.pressure("b.divider");
      s.spool_m = c.position_m[2];
      s.edge_pa[0] = b.pressure("a.divider") - b.pressure("a.outlet");
      s.edge_pa[1] = b.pressure("b.divider") - b.pressure("b.outlet");
    }
    return out ? lead > 0.15 : lead < 0.1;
  });
  REQUIRE(t.size() > 4);
  const double area = cap_area_m2(r.branches[0].cylinder), took_s = t.back() - t[t.size() / 2];
  s.q[0] = area * (x.back() - x[x.size() / 2]) / took_s;
  s.q[1] = area * (y.back() - y[y.size() / 2]) / took_s;
  return s;
}

double eps(const Steady& s) { return (s.q[0] - s.q[1]) / (s.q[0] + s.q[1]); }
double fixed_drop_pa(const Rig& r, const Steady& s) {   // at the mean of both flows
  const double rho = density(r.oil, r.oil.temperature_k), q = std::abs(s.q[0] + s.q[1]) / 2;
  const double open = r.valve_block.discharge * fixed_area_m2(r.spool, r.valve_block.discharge, rho);
  return rho / 2 * (q / open) * (q / open);
}

}  // namespace

TEST_SUITE("limits/spool_divider") {
  TEST_CASE("limit: the flows differ by delta/(4 dp), and delta is what spring and flow forces press on the spool's face") {
    for (const double flow : {8e-6, 10e-6, 12e-6})
      for (const double force : {0.0, 0.43}) {
        CAPTURE(flow);
        CAPTURE(force);
        const Rig r = divided(SynchroniserKind::spool_divider, flow, force);
        const Steady s = half_way(r);
        CHECK(near(eps(s), -s.delta_pa / (4 * fixed_drop_pa(r, s)), 0.01, 1.5e-4));   // 11 bar squeeze the oil by 2.2e-4
        const double edge_m2 = r.spool.edge_share * fixed_area_m2(r.spool, r.valve_block.discharge, density(r.oil, r.oil.temperature_k));
        const double u = s.spool_m / r.spool.spool_way_m;   // between the rounded corners an edge opens evenly
        const double open = 0.01 + 0.99 * (1.1 * (1 + u) / 2 - 0.05), shut = 0.01 + 0.99 * (1.1 * (1 - u) / 2 - 0.05);
        const double forces_n = force * edge_m2 * (open * s.edge_pa[0] - shut * s.edge_pa[1]);
        CHECK(std::abs(u) < 0.85);
        CHECK(near(s.delta_pa * r.spool.spool_area_m2, r.spool.spring_n_per_m * s.spool_m + forces_n, 0.02, 1e-4));
      }
  }
  TEST_CASE("limit: the same spring costs four times as much at half the flow: there is a least flow") {
    const Rig full = divided(SynchroniserKind::spool_divider, 12e-6), half = divided(SynchroniserKind::spool_divider, 6e-6);
    const Steady f = half_way(full), h = half_way(half);
    CHECK(near(eps(h) / h.delta_pa, 4 * eps(f) / f.delta_pa, 0.03, 0));
    CHECK(std::abs(eps(h)) > 2 * std::abs(eps(f)));
  }
  TEST_CASE("limit: far below it the fixed orifice of the light rod cannot drive the spool, and the heavy rod rests as on a tee") {
    const Steady s = half_way(divided(SynchroniserKind::spool_divider, 0.8e-6));
    CHECK(s.q[1] < 0.01 * s.q[0]);
  }
  TEST_CASE("limit: with the spool at its stop the divider is two throttles in parallel") {
    Rig r = divided(SynchroniserKind::spool_divider, 12e-6);
    r.panel.mass_kg = 700;                                 // 44 bar between the outlets
    r.spool.spring_n_per_m = 0;
    r.spool.least_opening = 0.1;
    const Steady s = half_way(r);
    CHECK(s.spool_m == -r.spool.spool_way_m);
    const double rho = density(r.oil, r.oil.temperature_k), fixed = fixed_area_m2(r.spool, r.valve_block.discharge, rho);
    const auto drop = [&](double q, double area) { return rho / 2 * std::pow(q / (r.valve_block.discharge * area), 2); };
    const double through_a = drop(s.q[0], fixed) + drop(s.q[0], 0.4 * fixed), through_b = drop(s.q[1], fixed) + drop(s.q[1], 4 * fixed);
    const double between_pa = 0.2 * r.panel.mass_kg * gravity_m_per_s2 / cap_area_m2(r.branches[0].cylinder);
    CHECK(near(through_a - through_b, between_pa, 0.01, 0));
  }
  TEST_CASE("limit: when the leader arrives the other one is 2 eps S/(1 + eps) behind") {
    const Rig r = divided(SynchroniserKind::spool_divider, 12e-6);
    const double error = eps(half_way(r));
    Bench b(r, {.quantum_share = 0.01});
    b.drive({.motor = true, .extend = true, .on_panel = true}, 60,
            [](const Contents& c, const FlowEngine::Quantum&) { return c.position_m[0] == 0.25; });
    CHECK(near(b.c.position_m[0] - b.c.position_m[1], 2 * error * 0.25 / (1 + error), 0.03, 3e-4));   // the spool finds its place first
  }
  TEST_CASE("limit: a combiner holds rods in step on the way down, too; a divider's checks let the heavy one go first") {
    const Steady combined = half_way(divided(SynchroniserKind::divider_combiner, 8e-6), false);
    CHECK(std::abs(eps(combined)) < 0.15);
    CHECK(combined.q[0] < 0);
    Rig slow = divided(SynchroniserKind::spool_divider, 8e-6);
    slow.valve_block.lowering_area_m2 = 2e-7;              // holds both, not the one against the other
    const Steady checked = half_way(slow, false);
    CHECK(std::abs(eps(checked)) > 0.5);
  }
  TEST_CASE("symmetry: equal loads and lines leave the spool in its middle, to the last bit") {
    Rig r = divided(SynchroniserKind::divider_combiner, 10e-6, 0.43);
    r.panel.centre_of_mass = 0.5;
    Bench b(r);
    b.drive({.motor = true, .extend = true, .on_panel = true}, 6);
    CHECK(b.c.position_m[2] == 0);
    CHECK(b.c.position_m[0] == b.c.position_m[1]);
    CHECK(b.c.position_m[0] > 0.05);
  }
}
