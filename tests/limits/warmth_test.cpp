// Oil and walls that warm or cool while a circuit stands.
#include <doctest/doctest.h>

#include <cmath>

#include "evenstroke/network/stored_work.hpp"
#include "evenstroke/procedure/between.hpp"
#include "evenstroke/procedure/run.hpp"
#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::bench_rig;
using testing::near;
using testing::workshop_rig;

namespace {

/// One cylinder half out, shut in by the directional valve, that stands while it warms.
struct Shut {
  explicit Shut(double by_k, double gas_m3 = 0) : rig(bench_rig(1, SynchroniserKind::tee, 6e-6)), net(make_network(rig)) {
    c = make_contents(net, {{}, {}, false, true, true});
    c.recipe.valid = false;
    c.position_m[0] = x0_m;
    c.masses[at("a.cap_chamber")].pocket_kg = gas_m3 * p0_pa_abs / net.gas_j_per_kg;
    c = fit(c, net);
    warm(by_k);
  }
  void warm(double by_k) {
    const double to_k = rig.oil.temperature_k + c.warmed_k + by_k;
    StepRow row;
    std::vector<std::string> short_of;
    Between between(rig, order, resolution, nullptr, joints);
    REQUIRE(between.run(c, {.kind = StepKind::stand, .stand_s = 600, .temperature_k = to_k}, row, &short_of) == Outcome::ok);
    CHECK(near(row.oil_k, to_k, 1e-12, 0));
    CHECK(near(rig.oil.temperature_k + c.warmed_k, to_k, 1e-12, 0));
    energy = energy + between.energy();
  }
  std::size_t at(const char* place) const { return static_cast<std::size_t>(net.place(place)); }
  struct Side { double area_m2, room_m3, wall_m3_per_pa; };
  Side side(double area_m2, const char* passage, const char* line, const char* chamber) const {
    Side s{area_m2, 0, 0};
    for (const char* p : {passage, line, chamber}) {
      const Place& place = net.places[at(p)];
      s.room_m3 += place.volume_m3 + (place.axis < 0 ? 0.0 : place.slope_m2 * x0_m);
      s.wall_m3_per_pa += place.wall_m3_per_pa;
    }
    return s;
  }
  Side cap() const { return side(cap_area_m2(rig.branches[0].cylinder), "valve_block.a", "a.cap_line", "a.cap_chamber"); }
  Side rod() const { return side(rod_area_m2(rig.branches[0].cylinder), "valve_block.b", "a.rod_line", "a.rod_chamber"); }
  double grown(double by_k) const {
    return density(rig.oil, rig.oil.temperature_k) / density(rig.oil, rig.oil.temperature_k + by_k) - 1;
  }
  double over_pa(const char* place) const { return c.pressure_pa_abs[at(place)] - p0_pa_abs; }

  static constexpr double x0_m = 0.1;
  const std::vector<int> order{0};
  const Resolution resolution;
  const Connections joints;
  Rig rig;
  Network net;
  Contents c;
  Energy energy;
};

Run strokes(const Rig& r, const Contents& c, const std::vector<Step>& steps, int n) {
  RunOptions o;
  o.stop_at_verdict = o.record = false;
  o.max_strokes = n;
  Run run = evenstroke::run(r, c, {.name = "some", .steps = steps, .max_strokes = n}, o);
  REQUIRE(run.status.ok());
  CHECK(run.books.oil_rel_error <= 1e-12);
  CHECK(run.books.air_rel_error <= 1e-12);
  return run;
}

}  // namespace

TEST_SUITE("limits/warmth") {
  // Each side: dp (V/K + C_wall) = V alpha dT -+ A dx; massless rod without friction: dp_cap A_cap = dp_rod A_rod.
  TEST_CASE("limit: oil shut in on both sides of a piston presses as K alpha dT says, and moves the rod to balance") {
    Shut b(2);
    const Shut::Side c = b.cap(), r = b.rod();
    const double grown = b.grown(2), stiff_pa = 5e9 * std::pow(10, -0.0024 * 2);
    const auto gives = [&](const Shut::Side& s) { return s.room_m3 / stiff_pa + s.wall_m3_per_pa; };
    const double ac = c.area_m2, ar = r.area_m2, kc = gives(c), kr = gives(r);
    const double dx = grown * (ac * c.room_m3 / kc - ar * r.room_m3 / kr) / (ac * ac / kc + ar * ar / kr);
    const double cap_pa = (grown * c.room_m3 - ac * dx) / kc;
    CHECK(dx > 1e-6);
    CHECK(near(b.c.position_m[0] - Shut::x0_m, dx, 2e-3, 0));
    CHECK(near(b.over_pa("a.cap_chamber"), cap_pa, 2e-3, 0));
    CHECK(near(b.over_pa("a.rod_chamber"), cap_pa * ac / ar, 2e-3, 0));
    MESSAGE("rod out by " << 1e6 * dx << " um, cap side at " << cap_pa / 1e5 << " bar");
  }
  TEST_CASE("limit: with gas under the piston the rod side's oil pushes the rod in by alpha dT V/A, at hardly any pressure") {
    Shut b(10, 4e-6);
    CHECK(near(Shut::x0_m - b.c.position_m[0], b.grown(10) * b.rod().room_m3 / b.rod().area_m2, 5e-3, 0));
    CHECK(b.over_pa("a.cap_chamber") < 1e5);
  }
  TEST_CASE("limit: who puts the valve both ways with each kelvin never has more than that kelvin's pressure shut in") {
    const Rig r = bench_rig(1, SynchroniserKind::tee, 6e-6);
    const Step stroke{.dwell_s = 1};
    const auto highest = [&](bool let_go) {
      const Step heat{.kind = StepKind::stand, .repeat = false, .stand_s = 600, .let_go = let_go,
                      .temperature_k = r.oil.temperature_k + 12};
      const Run run = strokes(r, bled(r), {heat, stroke}, 1);
      return run.steps[0].highest_pa_abs - p0_pa_abs;
    };
    const double kelvin_pa = r.oil.expansion_per_k * 5e9;
    CHECK(highest(false) > 8 * kelvin_pa);
    CHECK(highest(true) < 1.2 * kelvin_pa);
  }
  TEST_CASE("balance: warmed and cooled again a shut circuit is as it was, but for what went through the valve's P side") {
    Shut b(6);
    const double hot_pa = b.over_pa("a.cap_chamber"), stored_j = stored_work_j(make_network(as_warm(b.rig, b.c)), b.c);
    CHECK(stored_j > 0.1);
    CHECK(near(b.energy.warmth_j, stored_j, 0.15, 0));     // the kelvins' jumps, each against the pressure at its end
    b.warm(-6);
    CHECK(hot_pa > 50e5);
    CHECK(near(b.c.position_m[0], Shut::x0_m, 1e-6, 0));
    CHECK(std::abs(b.over_pa("a.cap_chamber")) < 1e-3 * hot_pa);
    CHECK(b.energy.warmth_j + 1e-9 >= stored_work_j(b.net, b.c));
  }
  TEST_CASE("limit: a stand at the temperature that the rig has is a stand, to the bit") {
    const Rig r = workshop_rig(SynchroniserKind::metering_pistons);
    const Contents c = after_exchange(r, {"a.cylinder"}, {});
    const Step stroke{.bypass_open = true, .dwell_s = 5}, stand{.kind = StepKind::stand, .repeat = false};
    Step same = stand;
    same.temperature_k = r.oil.temperature_k;
    const Run one = strokes(r, c, {stand, stroke}, 2), two = strokes(r, c, {same, stroke}, 2);
    CHECK(one.strokes.back().free_air_m3 == two.strokes.back().free_air_m3);
    CHECK(one.books.energy.pump_j == two.books.energy.pump_j);
  }
  TEST_CASE("limit: a rig warmed before its first stroke strokes, and agrees without air, as one that was warm all along") {
    const Rig cold = workshop_rig(SynchroniserKind::metering_pistons);
    Rig warm = cold;
    warm.oil.temperature_k += 40;
    const Step stroke{.bypass_open = true, .dwell_s = 5};
    const Step heat{.kind = StepKind::stand, .repeat = false, .stand_s = 600, .temperature_k = warm.oil.temperature_k};
    const Run heated = strokes(cold, after_exchange(cold, {"a.cylinder"}, {}), {heat, stroke}, 2);
    const Run was = strokes(warm, after_exchange(warm, {"a.cylinder"}, {}), {stroke}, 2);
    const Run cool = strokes(cold, after_exchange(cold, {"a.cylinder"}, {}), {stroke}, 2);
    CHECK(heated.twin_free.mismatch_m == was.twin_free.mismatch_m);
    const auto took_s = [](const Run& r) { return r.strokes[2].time_s - r.strokes[1].time_s; };
    CHECK(near(took_s(heated), took_s(was), 2e-3, 0));
    CHECK(std::abs(took_s(cool) / took_s(was) - 1) > 5e-3);
    CHECK(near(heated.contents.warmed_k, 40, 1e-12, 0));
  }
  TEST_CASE("law: every reading is held against a twin at its own temperature") {
    Rig r = workshop_rig(SynchroniserKind::metering_pistons);
    r.panel.mass_kg = 0;
    r.branches[1].cylinder.leak_m3_per_s_pa = 1e-12;    // without air the rods disagree, the more the thinner the oil
    const Step stroke{.bypass_open = false, .dwell_s = 5};
    const Step heat{.kind = StepKind::stand, .stand_s = 600, .temperature_k = r.oil.temperature_k + 30};
    const Run run = strokes(r, bled(r), {stroke, heat}, 3);
    for (const StrokeRow& row : run.strokes) CHECK(std::abs(row.air_part_m[1]) < 4e-5);
    CHECK(std::abs(run.strokes[0].free.mismatch_m[1] - run.strokes[3].free.mismatch_m[1]) > 1.6e-4);
  }
  TEST_CASE("law: what cold rods without air have settled is open again once oil has thinned") {
    Rig r = workshop_rig(SynchroniserKind::tee);
    r.oil.temperature_k = 333.15;
    for (Branch& b : r.branches) b.cap_line.length_m = b.rod_line.length_m = 3;
    r.branches[1].cylinder.breakaway_pa_diff *= 1.05;        // free rods on a tee: the thicker the oil, the less that parts them
    r.panel.mass_kg = 0;
    RunOptions o;
    o.tolerance_m = 1e-3;
    const Step first{.dwell_s = 5, .repeat = false}, again{.dwell_s = 5};
    const Step cool{.kind = StepKind::stand, .repeat = false, .stand_s = 3600, .let_go = true, .temperature_k = 273.15};
    const auto verdict = [&](const std::vector<Step>& steps) {
      return evenstroke::run(r, bled(r), {.name = "", .steps = steps, .max_strokes = 8}, o);
    };
    const Run stroked = verdict({first, cool, again}), cooled = verdict({cool, first, again}), warm = verdict({first, again});
    CHECK(std::abs(warm.twin_free.worst_m()) > 2e-3);
    CHECK(warm.parallel.answered == Answered::never);
    CHECK(std::abs(stroked.twin_free.worst_m()) < 1e-3);
    CHECK(cooled.parallel.answered == Answered::reached);
    CHECK(stroked.parallel.answered == Answered::reached);
    CHECK(stroked.parallel.stroke == 2);
  }
}
