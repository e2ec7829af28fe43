// Oil pumped round through joined line ends or out into a container: what it meets, what it carries out, when a person
// stops. Each way in which it goes wrong happens in one case and does not in another.
#include <doctest/doctest.h>

#include <cmath>

#include "evenstroke/procedure/run.hpp"
#include "support/bench.hpp"
#include "support/bleed_bench.hpp"
#include "support/near.hpp"
#include "support/open_joints.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

const Connections hoses = open_joints({"left.cap_port", "left.rod_port"}, Opening::joined);

/// Through the rod lines first: the rods, which are in, stay in; the other way the other rod would come out.
Step flush(double motor_s) {
  return {.kind = StepKind::flush, .bypass_open = true, .dwell_s = 5, .repeat = false, .retract = true, .motor_s = motor_s,
          .joints = hoses};
}

/// Out of the lifting side.
Step flush_out(double motor_s, const Connections& joints) {
  Step s = flush(motor_s);
  s.retract = false;
  s.joints = joints;
  return s;
}

Run run_of(const Rig& r, const Contents& c, std::vector<Step> steps, int strokes = 1) {
  RunOptions o;
  o.checks = o.record = false;
  o.stop_at_verdict = false;
  steps.push_back({.bypass_open = true, .dwell_s = 5});
  return run(r, c, {.name = "flush", .steps = std::move(steps), .max_strokes = strokes}, o);
}

double ml_in(const Run& run, const std::string& place) {
  for (std::size_t p = 0; p < run.places.size(); ++p)
    if (run.places[p] == place) return 1e6 * run.strokes.front().free_air_m3[p];
  return NAN;
}

/// Metering pistons, nothing taken in at joints, bubbles that neither rise nor dissolve.
Rig pair_rig(double cap_line_m) {
  Rig r = bleed_pair_rig(cap_line_m);
  r.air.joint_m3 = 0;
  return r;
}

double lines_m3(const Rig& r) { return volume_m3(r.branches[0].cap_line) + volume_m3(r.branches[0].rod_line); }
double pump_m3_per_s(const Rig& r) { return pump_law(r.pump, 0.02).q0; }

}  // namespace

TEST_SUITE("limits/flush") {
  // Hagen-Poiseuille for both, one after the other; lines without fittings.
  TEST_CASE("law: joined hoses resist as their two lines in series") {
    Rig r = bench_rig(1, SynchroniserKind::tee, 6e-6);
    r.branches[0].rod_line.bore_m = 5e-3;
    r.branches[0].rod_line.length_m = 1.7;
    const Connections joined = open_joints({"a.cap_port", "a.rod_port"}, Opening::joined);
    Bench b(r, {}, joined);
    b.drive({.motor = true, .extend = true}, 20);
    const double mu = b.net.mu_pa_s;
    const auto poiseuille = [&](const Line& l) { return 128 * mu * l.length_m / (M_PI * std::pow(l.bore_m, 4)); };
    const double drop = b.pressure("valve_block.a") - b.pressure("valve_block.b");
    CHECK(near(drop / 6e-6, poiseuille(r.branches[0].cap_line) + poiseuille(r.branches[0].rod_line), 5e-3, 0));
    CHECK(b.c.position_m[0] == 0);
  }

  TEST_CASE("limit: in plug flow dry hoses are full of oil once their volume has passed, however long they are") {
    for (const double length_m : {2.0, 20.0}) {
      CAPTURE(length_m);
      Rig r = pair_rig(length_m);
      const Contents dry = after_exchange(r, {"left.cap_line", "left.rod_line"}, {});
      const double once_s = lines_m3(r) / pump_m3_per_s(r);
      const Run half = run_of(r, dry, {flush(0.5 * once_s)}), all = run_of(r, dry, {flush(1.3 * once_s)});
      REQUIRE(half.status.ok());
      REQUIRE(all.status.ok());
      CHECK(ml_in(half, "left.cap_line") > 0.3e6 * volume_m3(r.branches[0].cap_line));
      CHECK(ml_in(all, "left.cap_line") + ml_in(all, "left.rod_line") < 1e-3 * 1e6 * lines_m3(r));
    }
  }

  // Practice: with long lines join the hose ends and run the pump, then connect (common practice, no source).
  TEST_CASE("agreement: hoses joined empty a line that strokes never empty, because a stroke moves less than it holds") {
    Rig r = pair_rig(1);
    const Cylinder& c = r.branches[0].cylinder;
    r.branches[0].cap_line.length_m = 2 * length_for(cap_area_m2(c) * c.stroke_m);
    r.air.coarse_share = 0;
    r.air.dispersed_share = 1;                             // all of the air as bubbles that ride with the oil
    r.air.joint_m3 = 20e-6;
    const Contents opened = after_exchange(r, {}, {"left.cap_line"});
    r.air.joint_m3 = 0;
    Contents c0 = opened;
    c0.recipe.valid = false;                               // the joint is made already
    const Run strokes = run_of(r, c0, {}, 6), flushed = run_of(r, c0, {flush(8 * lines_m3(r) / pump_m3_per_s(r))}, 1);
    const auto left_ml = [](const StrokeRow& row) { return 1e6 * (row.pocket_m3 + row.coarse_m3 + row.fine_m3); };
    CHECK(left_ml(strokes.strokes.back()) > 0.5 * left_ml(strokes.strokes.front()));
    CHECK(left_ml(flushed.strokes.back()) < 0.05 * left_ml(strokes.strokes.front()));   // the profile's tail: 1/(4 theta)
  }

  TEST_CASE("check: a person stops when the stream stays clear, sees that it never does, or stops too soon") {
    Rig r = pair_rig(2);
    const Contents dry = after_exchange(r, {"left.rod_line"}, {});
    const double once_s = lines_m3(r) / pump_m3_per_s(r);
    Step s = flush(once_s);
    s.bursts = 20;
    s.clear_m3 = 1.5 * lines_m3(r);
    const Run patient = run_of(r, dry, {s});
    REQUIRE(patient.steps.size() == 1);
    CHECK(patient.steps[0].bubbles_seen);
    CHECK(patient.steps[0].bursts < 6);
    CHECK(patient.steps[0].clear_m3 >= s.clear_m3);
    CHECK(patient.notes.empty());
    CHECK(ml_in(patient, "left.rod_line") < 0.01);
    s.clear_m3 = 0.5 * volume_m3(r.branches[0].cap_line);  // the cap line's oil comes first, and it is clear
    const Run hasty = run_of(r, dry, {s});
    CHECK_FALSE(hasty.steps[0].bubbles_seen);
    CHECK(ml_in(hasty, "left.cap_line") + ml_in(hasty, "left.rod_line") > 0.5e6 * volume_m3(r.branches[0].rod_line));
    s.clear_m3 = 1.5 * lines_m3(r);
    s.bursts = 1;
    const Run tired = run_of(r, dry, {s});
    REQUIRE(tired.notes.size() == 1);
    CHECK(tired.notes[0].find("not clear") != std::string::npos);
  }

  TEST_CASE("check: into a container the level falls until the pump draws air, unless somebody fills up") {
    Rig r = pair_rig(1);
    r.reservoir.area_m2 = 80e-4;
    r.reservoir.intake_m = 0.02;
    r.reservoir.oil_m3 = 0.2e-3;                           // 40 mL above the intake
    r.reservoir.capacity_m3 = 1e-3;
    r.reservoir.container_m3 = 0.1e-3;
    const Connections dipped = open_joints({"left.cap_port"}, Opening::container);
    Step s = flush_out(20e-6 / pump_m3_per_s(r), dipped);
    s.bursts = 6;
    for (const bool refill : {false, true}) {
      CAPTURE(refill);
      s.refill = refill;
      const Run out = run_of(r, bled(r), {s});
      REQUIRE(out.status.ok());
      CHECK((out.steps[0].drawn_in_m3 > 20e-6) == !refill);
      CHECK((out.steps[0].refilled_m3 > 80e-6) == refill);
      CHECK(out.books.oil_rel_error < 1e-9);
      CHECK(out.books.air_rel_error < 1e-9);
    }
  }

  TEST_CASE("check: the pack alone is primed through its open port; what was dry in it stays behind only above its mouths") {
    Rig r = pair_rig(1);
    r.valve_block.passage_m3 = 2e-6;
    const Contents dry = after_exchange(r, {"valve_block"}, {});
    const Connections port = open_joints({"valve_block.a"}, Opening::capped, Opening::container);
    const Run primed = run_of(r, dry, {flush_out(60e-6 / pump_m3_per_s(r), port)}), raw = run_of(r, dry, {});
    CHECK(ml_in(raw, "valve_block.a") > 1.8);             // 2 mL at 40 deg C, told as at 20
    CHECK(ml_in(primed, "valve_block.a") < 0.02);
    CHECK(ml_in(primed, "valve_block.p") < 0.02);
    CHECK(ml_in(primed, "valve_block.b") > 1.8);           // oil has not passed there
  }

  TEST_CASE("balance: parting lets trapped pressure go: what gas gives back on the way to p0 is spilled") {
    Rig r = pair_rig(2);
    const std::vector<int> order{0, 1};
    const Resolution resolution;
    const Connections joined;
    Between bench(r, order, resolution, nullptr, joined);
    const Network n = make_network(r);
    Contents c = bled(r);
    const std::size_t line = static_cast<std::size_t>(n.place("left.cap_line"));
    const double gas_kg = 2e-6 * p0_pa_abs / n.gas_j_per_kg;
    c.line[line].queue[c.line[line].queue.count++] = {0, gas_kg, 0, true};
    for (const char* side : {"left.cap_line", "left.cap_chamber", "left.outlet", "left.metering_chamber"})
      c.pressure_pa_abs[static_cast<std::size_t>(n.place(side))] = 5 * p0_pa_abs;
    c.recipe.valid = false;
    c = fit(c, n);
    Step s{.kind = StepKind::stand, .repeat = false, .stand_s = 0};
    s.joints.parted = {"left.cap_port"};
    StepRow row;
    std::vector<std::string> notes;
    REQUIRE(bench.run(c, s, row, &notes) == Outcome::ok);
    // 2 mL of free air stand in 0.4 mL at 5 p0; the gas comes out first, at the parted end, then oil would follow
    CHECK(near(c.pressure_pa_abs[line], p0_pa_abs, 0.03, 0));
    CHECK(row.vented_m3 + row.spilled_m3 > 1.5e-6);
    CHECK(row.vented_m3 + row.spilled_m3 < 2.6e-6);
  }

  TEST_CASE("regression: joints are remembered: hoses on, hoses off, everything joined again for the stroke") {
    Rig r = pair_rig(1);
    r.air.joint_m3 = 0.5e-6;
    const Run one = run_of(r, bled(r), {flush(2 * lines_m3(r) / pump_m3_per_s(r))});
    // Between the hoses 0.5 mL, flushed out; then at both ports again; told as at 20 deg C, shut in at 40
    const double joint_ml = 0.5 * 293.15 / 313.15;
    CHECK(near(1e6 * one.steps[0].drawn_in_m3, joint_ml, 1e-3, 0));
    CHECK(near(ml_in(one, "left.cap_line") + ml_in(one, "left.rod_line"), 2 * joint_ml, 1e-3, 0));
    CHECK(one.books.oil_rel_error < 1e-9);
    CHECK(one.books.air_rel_error < 1e-9);
    // Who fills up between two flushes leaves the hoses where they are
    const Step once = flush(2 * lines_m3(r) / pump_m3_per_s(r));
    const Run two = run_of(r, bled(r), {once, {.kind = StepKind::refill, .repeat = false}, once});
    CHECK(two.steps[1].drawn_in_m3 < 1e-9);
    CHECK(near(1e6 * two.steps[2].drawn_in_m3, 0, 0, 1e-3));
    CHECK(near(ml_in(two, "left.cap_line") + ml_in(two, "left.rod_line"), 2 * joint_ml, 1e-3, 0));
  }
}
