// How the engine steps: what a quantum costs, when it gives up, what it tells.
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
constexpr auto go_on = [](const Contents&, const FlowEngine::Quantum&) { return false; };

}  // namespace

TEST_SUITE("flow/engine") {
  TEST_CASE("regression: thin oil, wide paths and small passages do not make the steps rattle at a fixed size") {
    for (const double passage_m3 : {1e-8, 2e-6})
      for (const double path_m2 : {7e-6, 1e-3}) {
        CAPTURE(passage_m3);
        CAPTURE(path_m2);
        Rig r = workshop_rig(SynchroniserKind::tee);
        r.oil = oil_by_grade(10);
        r.oil.temperature_k = 373.15;
        r.valve_block.transition_re = 100;
        r.valve_block.passage_m3 = passage_m3;
        r.valve_block.path_area_m2 = r.valve_block.lowering_area_m2 = path_m2;
        Bench b(r);
        b.drive({.motor = true, .extend = true, .on_panel = true}, 30);
        b.drive({.extend = true, .on_panel = true}, 2);
        b.drive({.motor = true, .retract = true, .on_panel = true}, 30);
        CHECK(b.c.position_m == std::vector<double>{0.0, 0.0});
        const Counts& n = b.march.engine().counts();
        CHECK(n.steps < 40 * b.march.quanta());   // tens of thousands in one quantum when they do
      }
  }
  TEST_CASE("regression: a step over what a re-closure has set going is tried again much shorter, not a little") {
    for (const SynchroniserKind kind : {SynchroniserKind::tee, SynchroniserKind::metering_pistons}) {
      CAPTURE(static_cast<int>(kind));
      const Rig r = workshop_rig(kind);
      Bench b(r);
      b.take(after_exchange(r, {"a.cylinder"}, {"b.cap_line"}));
      for (int n = 0; n < 2; ++n) {
        b.drive({.motor = true, .extend = true, .bypass_open = true}, 20);
        b.drive({.motor = true, .retract = true, .bypass_open = true}, 20);
      }
      const Counts& n = b.march.engine().counts();
      CHECK(b.march.quanta() > 100);
      CHECK(n.rejected < 0.5 * static_cast<double>(n.steps));   // more than all accepted ones when it is a little
      MESSAGE("steps " << n.steps << ", rejected " << n.rejected << ", quanta " << b.march.quanta());
    }
  }
  TEST_CASE("check: the step budget ends a phase by status, with contents that can be read") {
    const Rig r = workshop_rig(SynchroniserKind::tee);
    const Network n = make_network(r, {0, 1});
    March m(n, {.max_steps = 20});
    Contents c = make_contents(n, {{}, {}, false, true, true});
    const Outcome o = m.phase(c, extending, 60, [](double, const auto&) { return false; }, go_on);
    CHECK(o == Outcome::step_budget);
    CHECK(c.time_s > 0);
    CHECK(c.time_s < 60);
    for (const double p : c.pressure_pa_abs) CHECK(std::isfinite(p));
  }
  TEST_CASE("check: the watcher is told every step, its positions join up, and it can stop the phase") {
    Bench b(bench_rig(1, SynchroniserKind::tee, 6e-6));
    double told_s = 0, last_m = 0, gap_m = 0;
    const auto see = [&](double h, const auto& x) {
      told_s += h;
      gap_m = std::max(gap_m, std::abs(x(0.0, 0) - last_m));
      last_m = x(1.0, 0);
      return last_m > 0.02;
    };
    const Outcome o = b.march.phase(b.c, extending, 60, see, go_on);
    CHECK(o == Outcome::ok);
    CHECK(near(told_s, b.c.time_s, 1e-12, 0));
    CHECK(near(b.c.position_m[0], last_m, 0, 1e-15));
    CHECK(gap_m < 1e-12);
    CHECK(b.c.position_m[0] > 0.02);
    CHECK(b.c.position_m[0] < 0.03);
  }
}
