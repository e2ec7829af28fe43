// Powered strokes with the cylinders turned, and strokes that press at their stops.
#include <doctest/doctest.h>

#include <cmath>

#include "evenstroke/procedure/run.hpp"
#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::workshop_rig;

namespace {

Rig low_ports() {
  Rig r = workshop_rig(SynchroniserKind::metering_pistons);
  for (Branch& b : r.branches) b.cylinder.attitude = Attitude::rod_up;
  return r;
}
Run strokes(const Rig& r, const Contents& c, const Step& step, int n) {
  RunOptions o;
  o.stop_at_verdict = o.record = o.checks = false;
  o.max_strokes = n;
  Run run = evenstroke::run(r, c, {.name = "some", .steps = {step}, .max_strokes = n}, o);
  REQUIRE(run.status.ok());
  CHECK(run.books.oil_rel_error <= 1e-12);
  CHECK(run.books.air_rel_error <= 1e-12);
  return run;
}
double under_piston_ml(const Run& run) {
  for (std::size_t p = 0; p < run.places.size(); ++p)
    if (run.places[p] == "a.cap_chamber") return 1e6 * run.strokes.back().free_air_m3[p];
  return NAN;
}

}  // namespace

TEST_SUITE("limits/turned_strokes") {
  TEST_CASE("limit: turned as they stand already, strokes are the same to the bit") {
    const Rig r = low_ports();
    const Contents c = after_exchange(r, {"a.cylinder"}, {});
    Step step{.bypass_open = true, .dwell_s = 20};
    const Run as_mounted = strokes(r, c, step, 2);
    step.joints.attitude = static_cast<int>(Attitude::rod_up);
    const Run turned = strokes(r, c, step, 2);
    CHECK(turned.strokes.back().free_air_m3 == as_mounted.strokes.back().free_air_m3);
    CHECK(turned.strokes.back().time_s == as_mounted.strokes.back().time_s);
    CHECK(turned.books.energy.pump_j == as_mounted.books.energy.pump_j);
    CHECK(turned.counts.steps == as_mounted.counts.steps);
    CHECK(turned.quanta == as_mounted.quanta);
  }
  TEST_CASE("limit: air that a low port leaves under the piston goes when the strokes are made with the port on top") {
    const Rig r = low_ports();
    const Contents c = after_exchange(r, {"a.cylinder"}, {});
    Step step{.bypass_open = true, .dwell_s = 20};
    const double low_ml = under_piston_ml(strokes(r, c, step, 6));
    step.joints.attitude = static_cast<int>(Attitude::rod_down);
    const double top_ml = under_piston_ml(strokes(r, c, step, 6));
    CHECK(low_ml > 1);
    CHECK(top_ml < 0.1 * low_ml);
    MESSAGE(low_ml << " mL under the piston, " << top_ml << " mL with the port on top");
  }
  TEST_CASE("limit: a stroke that presses brings every side to the relief valve; one that does not stays at friction") {
    const Rig r = workshop_rig(SynchroniserKind::metering_pistons);
    const double relief = r.valve_block.relief_pa_gauge + p0_pa_abs;
    Step step{.dwell_s = 2};
    CHECK(strokes(r, bled(r), step, 1).strokes.back().highest_pa_abs < 0.5 * relief);
    step.press_s = 3;
    const Run pressed = strokes(r, bled(r), step, 1);
    CHECK(pressed.strokes.back().highest_pa_abs > 0.99 * relief);
    step.press_s = 0;
    const Run plain = strokes(r, bled(r), step, 1);
    CHECK(near(pressed.strokes.back().motor_on_s - plain.strokes.back().motor_on_s, 6, 0.01, 0));
  }
  TEST_CASE("law: pressing dissolves bubbles that a stroke without it leaves") {
    const Rig r = workshop_rig(SynchroniserKind::metering_pistons);
    const Contents c = after_exchange(r, {"a.cylinder"}, {});
    Step step{.dwell_s = 2};
    const StrokeRow plain = strokes(r, c, step, 2).strokes.back();
    step.press_s = 60;
    const StrokeRow pressed = strokes(r, c, step, 2).strokes.back();
    CHECK(pressed.dissolved_m3 > plain.dissolved_m3 + 0.05e-6);
    MESSAGE("dissolved " << 1e6 * plain.dissolved_m3 << " mL and " << 1e6 * pressed.dissolved_m3 << " mL");
  }
}
