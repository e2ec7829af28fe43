#include "evenstroke/procedure/run.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "evenstroke/base/error.hpp"
#include "evenstroke/procedure/pressure_watch.hpp"
#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::bench_rig;
using testing::workshop_rig;

namespace {

RunOptions quick(bool checks = false) {
  RunOptions o;
  o.checks = checks;
  o.record = false;
  return o;
}

std::vector<int> steps_of(const Procedure& p, const Rig& rig) {
  std::vector<int> s;
  for (const StrokeRow& r : run(rig, bled(rig), p, quick()).strokes) s.push_back(r.step);
  return s;
}

}  // namespace

TEST_SUITE("procedure/run") {
  TEST_CASE("law: steps are walked through in order, then the block of repeated steps again and again") {
    Rig rig = workshop_rig(SynchroniserKind::metering_pistons);
    for (Branch& b : rig.branches) b.cylinder.stroke_m = 0.02;
    const Procedure two{.name = "", .steps = {{.bypass_open = true, .strokes = 2, .dwell_s = 0, .repeat = false},
                                              {.bypass_open = true, .strokes = 2, .dwell_s = 0},
                                              {.strokes = 1, .dwell_s = 0}}, .max_strokes = 9};
    CHECK(steps_of(two, rig) == std::vector<int>{0, 0, 0, 1, 1, 2, 1, 1, 2, 1});   // first the row before any stroke
    const Procedure one{.name = "", .steps = {{.strokes = 3, .dwell_s = 0}}, .max_strokes = 4};
    CHECK(steps_of(one, rig) == std::vector<int>{0, 0, 0, 0, 0});
    const Procedure last{.name = "", .steps = {{.strokes = 2, .dwell_s = 0, .repeat = false}, {.dwell_s = 0}},
                         .max_strokes = 5};
    CHECK(steps_of(last, rig) == std::vector<int>{0, 0, 0, 1, 1, 1});
  }
  TEST_CASE("law: a row tells its stroke: bypass, clock, motor, level, air by place and in all") {
    const Rig rig = workshop_rig(SynchroniserKind::metering_pistons);
    const Procedure p{.name = "", .steps = {{.bypass_open = true, .dwell_s = 4}, {.dwell_s = 4}}, .max_strokes = 2};
    const Run r = run(rig, after_exchange(rig, {"a.cylinder"}, {"b.cap_line"}), p, quick());
    REQUIRE(r.status.ok());
    REQUIRE(r.strokes.size() == 3);
    CHECK(r.strokes[1].bypass_open);
    CHECK_FALSE(r.strokes[2].bypass_open);
    double before_s = 0, before_on_s = 0;
    for (const StrokeRow& row : r.strokes) {
      CAPTURE(row.stroke);
      double air = 0;
      for (const double v : row.free_air_m3) air += v;
      CHECK(near(air, row.pocket_m3 + row.coarse_m3 + row.fine_m3, 1e-12, 0));
      CHECK(row.level_m > 0);
      if (row.stroke == 0) continue;
      CHECK(near(row.time_s - before_s - (row.motor_on_s - before_on_s), 8, 1e-6, 0));   // two dwells, motor off
      CHECK(row.highest_pa_abs > row.lowest_pa_abs);
      CHECK((row.low_pressure_s > 0) <= (row.lowest_pa_abs < PressureWatch::low_pa_abs));
      CHECK(row.low_pressure_s <= row.time_s - before_s);
      before_s = row.time_s;
      before_on_s = row.motor_on_s;
    }
    const auto all_m3 = [](const StrokeRow& row) { return row.pocket_m3 + row.coarse_m3 + row.fine_m3 + row.dissolved_m3; };
    const StrokeRow &first = r.strokes.front(), &last = r.strokes.back();
    const double reservoir_m3 =
        free_air_m3(r.contents.reservoir.air_kg() - after_exchange(rig, {}, {}).reservoir.air_kg());
    CHECK(near(all_m3(last) + last.vented_m3 + reservoir_m3, all_m3(first), 1e-9, 0));   // nothing ingested
  }
  TEST_CASE("law: check strokes leave no trace in the run") {
    const Rig rig = workshop_rig(SynchroniserKind::metering_pistons);
    const Contents c = after_exchange(rig, {"a.cylinder"}, {});
    const Procedure p{.name = "", .steps = {{.bypass_open = true, .dwell_s = 2}}, .max_strokes = 2};
    const Run with = run(rig, c, p, quick(true)), without = run(rig, c, p, quick());
    REQUIRE(with.strokes.size() == without.strokes.size());
    for (std::size_t i = 0; i < with.strokes.size(); ++i) {
      CHECK(with.strokes[i].free.state != CheckState::not_done);
      CHECK(without.strokes[i].free.state == CheckState::not_done);
      CHECK(with.strokes[i].time_s == without.strokes[i].time_s);
      CHECK(with.strokes[i].vented_m3 == without.strokes[i].vented_m3);
    }
    CHECK(with.books.energy.pump_j == without.books.energy.pump_j);
    CHECK(with.contents.position_m == without.contents.position_m);
  }
  TEST_CASE("law: a run of two halves, the second resumed from the first's contents, is the run of the whole") {
    const Rig rig = workshop_rig(SynchroniserKind::metering_pistons);
    const Procedure p{.name = "", .steps = {{.bypass_open = true, .dwell_s = 2}}, .max_strokes = 2};
    const Contents c = after_exchange(rig, {"a.cylinder"}, {});
    RunOptions one = quick();
    one.max_strokes = 1;
    const Run whole = run(rig, c, p, quick()), first = run(rig, c, p, one), second = run(rig, first.contents, p, one);
    CHECK_FALSE(first.contents.recipe.valid);
    CHECK(near(second.contents.time_s, whole.contents.time_s, 1e-3, 0));
    CHECK(near(total(second.contents).gas_kg(), total(whole.contents).gas_kg(), 1e-2, 0));
    CHECK(near(second.contents.ledger.air_vented_kg, whole.contents.ledger.air_vented_kg, 1e-2, 0));
  }
  TEST_CASE("law: a carriage that cannot be brought home is not re-phased, with its place, and no figure is given") {
    Rig rig = bench_rig(2, SynchroniserKind::metering_pistons, 12e-6);
    const Network n = make_network(rig, {0, 1});
    Contents c = make_contents(n, {{}, {}, false, true, true});
    c.position_m[2] = 0.1;   // the rods are home, the metering chambers are not full
    c.recipe.valid = false;
    const Run r = run(rig, fit(c, n), {.name = "", .steps = {{.dwell_s = 1}}, .max_strokes = 1}, quick(true));
    REQUIRE(!r.strokes.empty());
    CHECK(r.strokes[0].free.state == CheckState::not_rephased);
    CHECK(near(r.strokes[0].free.carriage_m, 0.1, 1e-3, 0));
    CHECK(r.strokes[0].free.mismatch_m == std::array<double, 3>{});
    CHECK(r.twin_free.state == CheckState::ok);
  }
  TEST_CASE("law: a load that the relief valve cannot lift is a stall by status, with what was computed") {
    Rig rig = workshop_rig(SynchroniserKind::tee);
    rig.valve_block.relief_pa_gauge = 5e5;
    const Procedure p{.name = "", .steps = {{.dwell_s = 1, .rods = Rods::panel}}, .max_strokes = 3};
    const Run r = run(rig, bled(rig), p, quick());
    CHECK(r.status.outcome == Outcome::stalled);
    CHECK(r.status.time_s > 0);
    CHECK(r.status.message.find("relief valve is open") != std::string::npos);
    REQUIRE(r.strokes.size() == 1);
    CHECK(r.bled.answered == Answered::undecided);
    CHECK(total(r.contents).oil_kg > 0);
  }
  TEST_CASE("law: a load beyond the pump's dead head is a stall, too, seen in seconds and told by its name") {
    Rig rig = workshop_rig(SynchroniserKind::tee);
    rig.pump.supply_v = 3;
    rig.valve_block.relief_pa_gauge = 400e5;
    const double mu = make_network(rig, {0, 1}).mu_pa_s, dead_head_pa = dead_head_pa_diff(rig.pump, mu);
    rig.panel.mass_kg = 1.3 * dead_head_pa * 2 * cap_area_m2(rig.branches[0].cylinder) / gravity_m_per_s2;
    const Procedure p{.name = "", .steps = {{.dwell_s = 1, .rods = Rods::panel}}, .max_strokes = 3};
    const Run r = run(rig, bled(rig), p, quick());
    CHECK(r.status.outcome == Outcome::stalled);
    CHECK(r.status.message.find("dead head") != std::string::npos);
    CHECK(r.status.message.find("bar gauge in valve_block.p") != std::string::npos);
    CHECK(r.status.quantity == "valve_block.p_pressure_pa_abs");
    CHECK(near(r.status.value, p0_pa_abs + dead_head_pa, 0.02, 0));
    CHECK(r.status.time_s < 15);
    REQUIRE(r.strokes.size() == 1);
  }
  TEST_CASE("law: a stop from outside ends a run in order") {
    const Rig rig = workshop_rig(SynchroniserKind::tee);
    const std::atomic<bool> stop{true};
    RunOptions o = quick(true);
    o.stop = &stop;
    const Run r = run(rig, bled(rig), {.name = "", .steps = {{}}, .max_strokes = 3}, o);
    CHECK(r.status.outcome == Outcome::interrupted);
    CHECK(r.strokes.size() <= 1);
    CHECK(total(r.contents).oil_kg > 0);
  }
  TEST_CASE("law: the tolerance is the larger of 1 mm and 1 % of the shortest stroke, unless it is given") {
    Rig rig = workshop_rig(SynchroniserKind::tee);
    RunOptions o = quick();
    o.max_strokes = 1;
    const Procedure p{.name = "", .steps = {{.dwell_s = 0}}, .max_strokes = 1};
    CHECK(run(rig, bled(rig), p, o).tolerance_m == 0.01 * 0.15);
    rig.branches[1].cylinder.stroke_m = 0.05;
    CHECK(run(rig, bled(rig), p, o).tolerance_m == 1e-3);
    o.tolerance_m = 2e-4;
    CHECK(run(rig, bled(rig), p, o).tolerance_m == 2e-4);
  }
  TEST_CASE("check: what cannot be run is refused before anything moves") {
    Rig rig = workshop_rig(SynchroniserKind::tee);
    CHECK_THROWS_AS(run(rig, bled(rig), {.name = "", .steps = {{.bypass_open = true}}}, quick()), InputError);
    CHECK_THROWS_AS(run(rig, bled(rig), {.name = "", .steps = {}}, quick()), InputError);
    const Contents c = bled(rig);
    rig.branches[0].cylinder.rod_m = 30e-3;
    CHECK_THROWS_AS(run(rig, c, {.name = "", .steps = {{}}}, quick()), InputError);
  }
  TEST_CASE("law: the series has a row of finite numbers per sample, thinned to its bound") {
    const Rig rig = workshop_rig(SynchroniserKind::tee);
    RunOptions o = quick();
    o.record = true;
    o.max_samples = 64;
    const Run r = run(rig, bled(rig), {.name = "", .steps = {{.dwell_s = 2}}, .max_strokes = 2}, o);
    const std::size_t width = r.series.channel.size();
    CHECK(width == 2 + 2 * r.places.size());
    CHECK(r.series.time_s.size() <= 64);
    CHECK(r.series.time_s.size() > 16);
    REQUIRE(r.series.value.size() == width * r.series.time_s.size());
    for (std::size_t i = 1; i < r.series.time_s.size(); ++i) CHECK(r.series.time_s[i] > r.series.time_s[i - 1]);
    for (const double v : r.series.value) CHECK(std::isfinite(v));
  }
}
