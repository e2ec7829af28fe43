#include "evenstroke/flow/engine.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::Bench;
using testing::bench_rig;
using testing::workshop_rig;

namespace {

constexpr Drive extending{.motor = true, .extend = true};
constexpr Drive retracting{.motor = true, .retract = true};

/// Calls `see(contents, quantum)` after every quantum of a phase.
template <class F>
void watch(Bench& b, const Drive& d, double time_s, F&& see) {
  b.drive(d, time_s, [&](const Contents& c, const FlowEngine::Quantum& q) {
    see(c, q);
    return false;
  });
}

}  // namespace

TEST_SUITE("flow/engine") {
  TEST_CASE("law: rods of equal branches leave and reach their stops in the same event, and stand exactly there") {
    for (const SynchroniserKind kind : {SynchroniserKind::tee, SynchroniserKind::metering_pistons}) {
      CAPTURE(static_cast<int>(kind));
      Bench b(workshop_rig(kind));
      for (const Drive& d : {extending, retracting}) {
        const double stop_m = d.extend ? 0.15 : 0.0;
        bool together = true, ended = false;
        watch(b, d, 20, [&](const Contents& c, const FlowEngine::Quantum& q) {
          together = together && c.motion[0] == c.motion[1];
          const bool there = c.position_m[0] == stop_m && c.motion[0] == 0;
          if (there && !ended) CHECK(q.event);
          ended = ended || there;
        });
        CHECK(together);
        CHECK(ended);
        CHECK(b.c.position_m[0] == stop_m);
        CHECK(b.c.position_m[1] == stop_m);
        CHECK(b.c.motion[0] == 0);
        CHECK(b.c.motion[1] == 0);
      }
    }
  }
  TEST_CASE("law: no rod ever leaves its travel, and one with a shorter way stops alone") {
    Rig r = workshop_rig(SynchroniserKind::tee);
    r.branches[1].cylinder.stroke_m = 0.1;
    Bench b(r);
    bool inside = true, alone = false;
    watch(b, extending, 20, [&](const Contents& c, const FlowEngine::Quantum&) {
      for (std::size_t a = 0; a < 2; ++a)
        inside = inside && c.position_m[a] >= 0 && c.position_m[a] <= b.net.axes[a].travel_m;
      alone = alone || (c.position_m[1] == 0.1 && c.motion[1] == 0 && c.motion[0] == 1 && c.position_m[0] < 0.15);
    });
    CHECK(inside);
    CHECK(alone);
    CHECK(b.c.position_m == std::vector<double>{0.15, 0.1});
  }
  TEST_CASE("law: a rod without friction turns round under way and still ends exactly at the stop it is driven to") {
    Bench b(bench_rig(1, SynchroniserKind::tee, 20e-6));
    b.c.position_m[0] = 0.1;
    b.fill();
    for (const Drive& d : {retracting, extending, retracting}) b.drive(d, 0.4);
    CHECK(b.c.motion[0] == -1);
    double beyond_m = 0;
    watch(b, extending, 6, [&](const Contents& c, const FlowEngine::Quantum&) {
      beyond_m = std::max(beyond_m, c.motion[0] != 0 ? c.position_m[0] - 0.25 : 0.0);
    });
    CHECK(beyond_m <= 0);
    CHECK(b.c.position_m[0] == 0.25);
    CHECK(b.c.motion[0] == 0);
    watch(b, retracting, 6, [](const Contents&, const FlowEngine::Quantum&) {});
    CHECK(b.c.position_m[0] == 0.0);
    CHECK(b.c.motion[0] == 0);
  }
  TEST_CASE("law: a rod breaks away at its breakaway force, slides against running friction and sticks") {
    const Rig r = workshop_rig(SynchroniserKind::tee);
    Bench b(r);
    b.c.position_m = {0.05, 0.05};
    b.fill();
    double force_n = 0;
    b.drive({.motor = true, .extend = true, .on_panel = true}, 1, [&](const Contents& c, const FlowEngine::Quantum& q) {
      if (q.event && c.motion[0] == 1) force_n = b.march.engine().model().force(0);
      return force_n != 0;
    });
    CHECK(near(force_n, breakaway_n(b.cylinder()), 1e-3, 0));
    b.drive({.motor = true, .extend = true, .on_panel = true}, 0.5);
    CHECK(b.c.motion == std::vector<int>{1, 1});
    const double x = b.c.position_m[0], t = b.c.time_s;
    b.drive({.motor = true, .extend = true, .on_panel = true}, 0.05);
    const double v = (b.c.position_m[0] - x) / (b.c.time_s - t);
    const double friction = 0.65 * breakaway_n(b.cylinder()) + 400 * v;
    const double ac = cap_area_m2(b.cylinder()), ar = rod_area_m2(b.cylinder());
    const double push = b.pressure("a.cap_chamber") * ac - b.pressure("a.rod_chamber") * ar - p0_pa_abs * (ac - ar) -
                        55 * gravity_m_per_s2;
    CHECK(near(push, friction, 1e-2, 0));
    b.drive({.extend = true, .on_panel = true}, 5);
    CHECK(b.c.motion == std::vector<int>{0, 0});
    const std::vector<double> rest = b.c.position_m;
    b.drive({.extend = true, .on_panel = true}, 5);
    CHECK(b.c.position_m == rest);
  }
  TEST_CASE("law: a quantum ends when a share of the smallest volume has passed any edge") {
    for (const double share : {0.05, 0.0125}) {
      CAPTURE(share);
      Bench b(bench_rig(2, SynchroniserKind::tee, 6e-6), {.quantum_share = share});
      const double quantum = share * volume_m3(b.net.rig.branches[0].cap_line);
      CHECK(near(b.march.engine().quantum_m3(), quantum, 1e-12, 0));
      double most = 0;
      int full = 0, quanta = 0;
      watch(b, extending, 3, [&](const Contents&, const FlowEngine::Quantum&) {
        double here = 0;
        for (const double v : b.march.engine().volume_m3()) here = std::max(here, std::abs(v));
        most = std::max(most, here);
        full += here >= 0.85 * quantum;
        ++quanta;
      });
      CHECK(most <= 1.1 * quantum);
      CHECK(full > 0.8 * quanta);
    }
  }
  TEST_CASE("check: a place that gained oil by hand is out of balance by that oil, settled contents by nothing") {
    Bench b(bench_rig(1, SynchroniserKind::tee, 6e-6));
    FlowEngine e(b.net, {});
    CHECK(near(e.imbalance_m3(b.c), 0, 0, 1e-19));
    b.c.masses[b.index("a.cap_chamber")].oil_kg += 1e-11 * b.net.rho0_kg_per_m3;
    CHECK(near(e.imbalance_m3(b.c), 1e-11, 1e-3, 0));
  }
  TEST_CASE("law: gas too much counts by the room it takes, but by no more than that at p0; oil counts where it is") {
    for (const double p : {3500.0, p0_pa_abs, 20e5}) {
      CAPTURE(p);
      Bench b(bench_rig(1, SynchroniserKind::tee, 6e-6));
      const std::size_t cap = b.index("a.cap_chamber");
      const double room_m3 = available_m3(b.net, b.c, static_cast<int>(cap)), full_kg = room_m3 * p / b.net.gas_j_per_kg;
      FlowEngine e(b.net, {});
      b.c.pressure_pa_abs[cap] = p;
      b.c.masses[cap].pocket_kg = 0.5 * full_kg;           // half gas, half oil
      b.fill();
      CHECK(near(e.imbalance_m3(b.c), 0, 0, 1e-6 * room_m3));
      b.c.masses[cap].pocket_kg += 0.1 * full_kg;
      const double thinner = std::min(1.0, p / p0_pa_abs);
      CHECK(near(e.imbalance_m3(b.c), 0.1 * room_m3 * thinner, 1e-2, 0));

      b.c.masses[cap].pocket_kg = 0;                       // no gas: a cavity, or stretched oil
      b.fill();
      b.c.masses[cap].oil_kg += 0.1 * room_m3 * b.net.rho0_kg_per_m3;
      CHECK(near(e.imbalance_m3(b.c), 0.1 * room_m3, 1e-2, 0));
    }
  }
}
