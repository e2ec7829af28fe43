#include "evenstroke/procedure/compare.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "evenstroke/procedure/run.hpp"
#include "evenstroke/procedure/station_watch.hpp"
#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::bench_rig;
using testing::workshop_rig;

namespace {

Run compared(const Rig& r, const Contents& c, Step step) {
  step.kind = StepKind::compare;
  step.repeat = false;
  RunOptions o;
  o.checks = o.record = false;
  o.max_strokes = 1;
  Run run = evenstroke::run(r, c, {.name = "look", .steps = {step, {}}, .max_strokes = 1}, o);
  REQUIRE(run.status.ok());
  return run;
}
/// Of joints that were opened: so little that the carriage's over-travel makes up for it at the stops.
Contents little_air(const Rig& r) { return after_exchange(r, {}, {"a.cap_line"}); }
/// A joint that lets in 2 mL, and a carriage that has it to spare.
Rig airy_rig() {
  Rig r = workshop_rig(SynchroniserKind::metering_pistons);
  r.air.joint_m3 = 2e-6;
  r.synchroniser.over_travel = 0.2;
  return r;
}
Comparison seen(const Rig& r, const Contents& c, const Step& step) { return compared(r, c, step).steps.front().seen; }

}  // namespace

TEST_SUITE("procedure/compare") {
  TEST_CASE("law: stations are found inside a step of straight motion, exactly") {
    const Network n = make_network(bench_rig(2, SynchroniserKind::tee, 6e-6));   // 0.25 m
    StationWatch w(n);
    w.look([](double s, int rod) { return (rod == 0 ? 0.20 : 0.10) * s; });      // mean 0 to 0.15
    CHECK(w.passed() == 2);
    CHECK(near(w.position_m(0)[0] - w.position_m(0)[1], 0.0625 / 1.5, 1e-8, 0));
    w.look([](double s, int rod) { return (rod == 0 ? 0.20 : 0.10) + 0.05 * s; });
    CHECK(w.all());
    CHECK(near(w.position_m(2)[0] - w.position_m(2)[1], 0.1, 1e-8, 0));
  }
  TEST_CASE("law: with the bypass closed a comparison reads what the check stroke says, to its mark") {
    const Rig r = workshop_rig(SynchroniserKind::metering_pistons);
    const Contents c = after_exchange(r, {"a.cap_line"}, {});
    const Comparison k = seen(r, c, {.dwell_s = 10});
    RunOptions o;
    o.record = false;
    o.max_strokes = 1;
    const Run run = evenstroke::run(r, c, {.name = "check", .steps = {{.dwell_s = 10}}, .max_strokes = 1}, o);
    for (std::size_t i = 0; i < 2; ++i) {               // the halt half way lets leakage and warmth change the third
      const double check_m = run.strokes[0].free.mismatch_m[i];
      CHECK(std::abs(check_m) > 5e-3);
      CHECK(near(k.mismatch_m[i], check_m, 0.01, 0.5 * r.observer.rod_mark_m + 1e-9));
      const double marks = k.mismatch_m[i] / r.observer.rod_mark_m;
      CHECK(near(marks, std::round(marks), 0, 1e-9));
    }
  }
  TEST_CASE("limit: with the bypass open at the stops, and held together, the same rods seem to agree") {
    const Rig r = airy_rig();
    const Contents c = little_air(r);
    const Comparison open = seen(r, c, {.bypass_open = true}), free = seen(r, c, {});
    const Comparison held = seen(r, c, {.rods = Rods::held, .held_n = 2000});
    CHECK(std::abs(free.mismatch_m[1]) > 2e-3);
    CHECK(near(open.at_stop_m, 0, 0, 1e-12));
    CHECK(std::abs(free.at_stop_m) >= 1e-3);   // with the bypass shut the rod that is home holds the carriage back
    CHECK(std::abs(held.mismatch_m[1]) <= r.observer.rod_mark_m);
    CHECK(held.held_n > 20);
    CHECK(std::isnan(free.held_n));
    MESSAGE("mm: free " << 1e3 * free.mismatch_m[1] << ", bypass open " << 1e3 * open.mismatch_m[1] << ", held "
                        << 1e3 * held.mismatch_m[1] << " with " << held.held_n << " N");
  }
  TEST_CASE("law: rods that nobody holds need no force, equal rods held need none either") {
    const Rig r = workshop_rig(SynchroniserKind::metering_pistons);
    CHECK(seen(r, bled(r), {.rods = Rods::held}).held_n == 0.0);
  }
  TEST_CASE("balance: held by hands that do not give way, the rods share the force that would drive them apart") {
    Rig r = bench_rig(2, SynchroniserKind::tee, 6e-6);   // no divider: hands do its work against 20 N of friction in one rod
    r.branches[0].cylinder.breakaway_pa_diff = 20 / cap_area_m2(r.branches[0].cylinder);
    r.branches[0].cylinder.running_share = 1;
    r.branches[0].cylinder.dwell_growth = 0;
    const Comparison k = seen(r, bled(r), {.dwell_s = 1, .rods = Rods::held, .held_n = 3000});
    CHECK(std::abs(k.mismatch_m[1]) <= r.observer.rod_mark_m);
    CHECK(near(k.held_n, 10, 0.05, 0.5));
    const Comparison free = seen(r, bled(r), {.dwell_s = 1});
    CHECK(std::abs(free.mismatch_m[1]) > 50e-3);
  }
  TEST_CASE("law: pressing at the stop squeezes the air first: longer to pressure, and the level rises by what it gave way") {
    Rig r = bench_rig(1, SynchroniserKind::tee, 6e-6);
    r.valve_block.relief_pa_gauge = 60e5;
    r.air.joint_m3 = 5e-6;
    r.branches[0].cap_line.bore_m = r.branches[0].rod_line.bore_m = 8e-3;   // so wide that the rod moves without pressure
    r.observer = {.rod_mark_m = 0.01e-3, .level_mark_m = 1e-6};
    const Comparison full = seen(r, bled(r), {}), dry = seen(r, after_exchange(r, {}, {"a.cap_line"}), {});
    const double air_m3 = r.air.joint_m3, p_pa_abs = 60e5 + p0_pa_abs, p90_pa_abs = 0.9 * 60e5 + p0_pa_abs;
    CHECK(near(dry.pressure_s - full.pressure_s, air_m3 * (1 - p0_pa_abs / p90_pa_abs) / 6e-6, 0.05, 0));
    CHECK(near(dry.level_rise_m - full.level_rise_m, air_m3 * (1 - p0_pa_abs / p_pa_abs) / 0.1, 0.05, 0));
    CHECK(near(dry.current_a, full.current_a, 1e-3, 0));   // the same relief valve
  }
  TEST_CASE("limit: the rod with air moves later; how much later is the air's volume over its share of the flow") {
    const Rig r = airy_rig();
    const Comparison full = seen(r, bled(r), {}), dry = seen(r, little_air(r), {});
    CHECK(near(full.first_s, full.last_s, 0, 0.02));
    CHECK(dry.last_s - dry.first_s > 0.1);
  }
  TEST_CASE("law: a comparison is no bleed stroke, keeps the books, and lets nothing go under the panel") {
    const Rig r = workshop_rig(SynchroniserKind::metering_pistons);
    const Run run = compared(r, after_exchange(r, {"a.cylinder"}, {}), {.rods = Rods::panel});
    CHECK(run.strokes.back().stroke == 1);
    CHECK(run.steps.size() == 1);
    CHECK(std::isnan(run.steps[0].seen.level_rise_m));
    CHECK(run.books.oil_rel_error <= 1e-12);
    CHECK(run.books.air_rel_error <= 1e-12);
  }
  TEST_CASE("limit: rods that do not get there leave what was not read open, and a note says so") {
    Rig r = workshop_rig(SynchroniserKind::metering_pistons);
    r.valve_block.relief_pa_gauge = 1e5;
    r.panel.mass_kg = 2000;
    const Run run = compared(r, bled(r), {.rods = Rods::panel});
    REQUIRE(run.steps.size() == 1);
    CHECK(std::isnan(run.steps[0].seen.mismatch_m[0]));
    CHECK(std::isnan(run.steps[0].seen.at_stop_m));
    CHECK(std::count_if(run.notes.begin(), run.notes.end(), [](const std::string& n) { return n.find("three quarters") != std::string::npos; }) == 1);
  }
}
