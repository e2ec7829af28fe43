// A plain tee feeds two rods: nothing divides the flow but the lines and the loads.
//   R_i = R_cap + R_rod/phi^2 + B/A^2   resistance of a branch to the flow into its cap side, phi = A_cap/A_rod
#include <doctest/doctest.h>

#include <numbers>

#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::Bench;
using testing::bench_rig;

namespace {

constexpr Drive extending{.motor = true, .extend = true, .on_panel = true};
constexpr double flow_m3_per_s = 6e-6;

Rig tee(double length_1_m, double length_2_m) {
  Rig r = bench_rig(2, SynchroniserKind::tee, flow_m3_per_s);
  r.branches[0].cap_line.length_m = length_1_m;
  r.branches[1].cap_line.length_m = length_2_m;
  return r;
}

/// Loads on the two rods [N] as a panel's mass and centre of mass.
void put_loads(Rig& r, double w1_n, double w2_n) {
  r.panel.mass_kg = (w1_n + w2_n) / gravity_m_per_s2;
  r.panel.centre_of_mass = w2_n / (w1_n + w2_n);
}

double resistance(const Rig& r, const Line& l) {
  const double mu = r.oil.nu_40_m2_per_s * density(r.oil, r.oil.temperature_k), d = l.bore_m;
  return 128 * mu * l.length_m / (std::numbers::pi * d * d * d * d);
}

double resistance(const Rig& r, std::size_t branch) {
  const Branch& b = r.branches[branch];
  const double a = cap_area_m2(b.cylinder), phi = a / rod_area_m2(b.cylinder);
  return resistance(r, b.cap_line) + resistance(r, b.rod_line) / (phi * phi) + b.cylinder.viscous_n_s_per_m / (a * a);
}

/// Flows into the two cap sides between two times [m3/s].
struct Split {
  double q1, q2;
};

Split split(Bench& b, double from_s, double to_s) {
  b.drive(extending, from_s);
  const double x1 = b.c.position_m[0], x2 = b.c.position_m[1], t = b.c.time_s, a = cap_area_m2(b.cylinder());
  b.drive(extending, to_s - from_s);
  const double dt = b.c.time_s - t;
  return {a * (b.c.position_m[0] - x1) / dt, a * (b.c.position_m[1] - x2) / dt};
}

}  // namespace

TEST_SUITE("limits/tee") {
  TEST_CASE("limit: free rods share Q1 = (R2 Q + p2 - p1)/(R1 + R2) while the loads differ by less than R1 Q") {
    for (const double share : {0.0, 0.4, 0.9}) {
      CAPTURE(share);
      Rig r = tee(3, 2);
      const double area = cap_area_m2(r.branches[0].cylinder), r1 = resistance(r, 0), r2 = resistance(r, 1);
      const double dp = share * r1 * flow_m3_per_s;
      put_loads(r, 300, 300 + dp * area);
      Bench b(r);
      const Split s = split(b, 0.5, 2.0);
      const double q = s.q1 + s.q2;
      CHECK(near(q, flow_m3_per_s, 2e-3, 0));
      CHECK(near(s.q1, (r2 * q + dp) / (r1 + r2), 2e-3, 0));
      CHECK(near(s.q2, (r1 * q - dp) / (r1 + r2), 2e-3, 1e-4 * q));
      MESSAGE("Q1 off by " << s.q1 / ((r2 * q + dp) / (r1 + r2)) - 1);
    }
  }
  TEST_CASE("limit: the lighter rod moves alone once the load pressures differ by more than R1 Q, and not before") {
    Rig r = tee(3, 2);
    const double area = cap_area_m2(r.branches[0].cylinder), r1 = resistance(r, 0);
    put_loads(r, 300, 5000);
    Bench far(r);
    const double q = split(far, 0.5, 2.0).q1;   // the flow at this pressure: what the pump gives to rod 1 alone
    CHECK(near(q, flow_m3_per_s, 2e-3, 0));
    for (const double share : {0.995, 1.005}) {
      CAPTURE(share);
      put_loads(r, 300, 300 + share * r1 * q * area);   // load 1 stays, so does the flow
      Bench b(r);
      double first_s = 0;
      b.drive(extending, 6.0, [&](const Contents& c, const FlowEngine::Quantum&) {
        if (c.position_m[1] > 0 && first_s == 0) first_s = c.time_s;
        return c.motion[0] == 0;
      });
      CHECK(b.c.position_m[0] > 0.05);
      if (share > 1) CHECK(b.c.position_m[1] == 0.0);
      if (share < 1) CHECK(first_s > 0);
    }
  }
  TEST_CASE("limit: coupled rods settle at [(R2-R1) Q A + 2 (W2-W1)]/(4 k_c) in time (R1+R2) A^2/(4 k_c)") {
    for (const double extra_n : {0.0, 60.0, -150.0}) {
      CAPTURE(extra_n);
      Rig r = tee(1, 2.5);
      put_loads(r, 400, 400 + extra_n);
      r.panel.spacing_m = 2;
      const double k = 4000, area = cap_area_m2(r.branches[0].cylinder), r1 = resistance(r, 0), r2 = resistance(r, 1);
      r.panel.torsion_n_m_per_rad = k * 4;   // K_t = k_c L^2
      const double tau_s = (r1 + r2) * area * area / (4 * k);
      REQUIRE(tau_s < 1);
      Bench b(r, {.quantum_share = 0.01});
      struct Point { double t, e; };
      std::vector<Point> seen;   // from when both rods move: before, one goes ahead alone and e is a straight line
      b.drive(extending, 12 * tau_s, [&](const Contents& c, const FlowEngine::Quantum&) {
        if (c.motion[0] && c.motion[1]) seen.push_back({c.time_s, c.position_m[0] - c.position_m[1]});
        return false;
      });
      const double x1 = b.c.position_m[0], x2 = b.c.position_m[1], t0 = b.c.time_s;
      b.drive(extending, tau_s);
      const double q = area * (b.c.position_m[0] - x1 + b.c.position_m[1] - x2) / (b.c.time_s - t0);
      const double e = b.c.position_m[0] - b.c.position_m[1];
      const double settled = ((r2 - r1) * q * area + 2 * extra_n) / (4 * k);
      CHECK(near(e, settled, 2e-3, 0));
      const auto point = [&](double after_s) {
        std::size_t i = 0;
        while (seen[i].t < seen[0].t + after_s) ++i;
        return seen[i];
      };
      const Point early = point(0.5 * tau_s), late = point(2 * tau_s);
      const double measured = (late.t - early.t) / std::log((settled - early.e) / (settled - late.e));
      CHECK(near(measured, tau_s, 5e-3, 0));
      MESSAGE("e off by " << e / settled - 1 << ", tau by " << measured / tau_s - 1);
    }
  }
}
