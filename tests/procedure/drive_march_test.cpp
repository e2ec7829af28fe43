// How a step says the rods are driven.
#include "evenstroke/procedure/drive_march.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "evenstroke/base/error.hpp"
#include "evenstroke/procedure/run.hpp"
#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::bench_rig;
using testing::near;
using testing::workshop_rig;

namespace {

Run strokes(const Rig& r, const Step& step, int n) {
  RunOptions o;
  o.stop_at_verdict = o.checks = false;
  o.max_strokes = n;
  Run run = evenstroke::run(r, bled(r), {.name = "some", .steps = {step}, .max_strokes = n}, o);
  REQUIRE(run.status.ok());
  return run;
}
double farthest_m(const Run& run) {
  double x = 0;
  for (std::size_t i = 0; i < run.series.time_s.size(); ++i) x = std::max(x, run.series.value[i * run.series.channel.size()]);
  return x;
}

}  // namespace

TEST_SUITE("procedure/drive_march") {
  TEST_CASE("limit: a pump without losses moves the rods at its volts: out at half of them takes twice the time") {
    const Rig r = bench_rig(1, SynchroniserKind::tee, 6e-6);
    const double area = cap_area_m2(r.branches[0].cylinder), rod = rod_area_m2(r.branches[0].cylinder), way = r.branches[0].cylinder.stroke_m;
    const double out_s = area * way / 6e-6, in_s = rod * way / 6e-6;
    const auto took_s = [&](const Step& s) { return strokes(r, s, 1).strokes[1].time_s; };
    CHECK(near(took_s({.dwell_s = 0}), out_s + in_s, 5e-3, 0));
    CHECK(near(took_s({.dwell_s = 0, .extend_v = 6}), 2 * out_s + in_s, 5e-3, 0));
    CHECK(near(took_s({.dwell_s = 0, .retract_v = 6}), out_s + 2 * in_s, 5e-3, 0));
  }
  TEST_CASE("limit: the rig's own voltage, given in a step, changes nothing, to the bit") {
    const Rig r = workshop_rig(SynchroniserKind::metering_pistons);
    const Run as_is = strokes(r, {.bypass_open = true}, 1);
    const Run told = strokes(r, {.bypass_open = true, .extend_v = 12, .retract_v = 12}, 1);
    CHECK(as_is.books.energy.pump_j == told.books.energy.pump_j);
    CHECK(as_is.strokes[1].time_s == told.strokes[1].time_s);
  }
  TEST_CASE("law: a short stroke turns within a step behind its share of the way, and counts as having got there") {
    const Rig r = bench_rig(1, SynchroniserKind::tee, 6e-6);
    for (const double share : {0.1, 0.5, 0.9}) {
      CAPTURE(share);
      const Run run = strokes(r, {.dwell_s = 0, .travel = share}, 2);
      CHECK(run.strokes[1].rods_reached_stops);
      CHECK(farthest_m(run) >= share * 0.25);
      CHECK(farthest_m(run) <= (share + 0.06) * 0.25);     // a quantum is a twentieth of the stroke
      CHECK(run.contents.position_m[0] == 0);
    }
  }
  TEST_CASE("check: a voltage that does not turn the idle pump, and a travel of nothing, are refused") {
    const Rig r = workshop_rig(SynchroniserKind::metering_pistons);
    const auto refused = [&](const Step& s) { check(Procedure{.name = "", .steps = {s}}, r); };
    Rig heavy = r;
    heavy.pump.idle_torque_n_m = 0.5;                       // 0.5 N m at 0.032 V s and 0.12 ohm: 1.875 V
    CHECK_NOTHROW(refused({.extend_v = 1.5}));
    CHECK_THROWS_WITH_AS(check(Procedure{.name = "", .steps = {{.retract_v = 1.5}}}, heavy),
                         doctest::Contains("retract_v"), InputError);
    CHECK_THROWS_AS(refused({.extend_v = 0.5}), InputError);
    CHECK_THROWS_AS(refused({.travel = 0}), InputError);
    CHECK_THROWS_AS(refused({.kind = StepKind::stand, .temperature_k = 100}), InputError);
  }
}
