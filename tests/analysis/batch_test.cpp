#include "evenstroke/analysis/batch.hpp"

#include <doctest/doctest.h>

#include <atomic>
#include <thread>

#include "evenstroke/air/modulus.hpp"
#include "evenstroke/analysis/sample.hpp"
#include "evenstroke/base/error.hpp"
#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
namespace {

Rig short_rig() {
  Rig r = testing::workshop_rig(SynchroniserKind::metering_pistons, false);
  for (Branch& b : r.branches) b.cylinder.stroke_m = 0.02;
  return r;
}
const Rig rig = short_rig();
const Contents opened = after_exchange(rig, {}, {"b.cap_line"});
const Procedure two_strokes{.name = "", .steps = {{.bypass_open = true, .dwell_s = 0}}, .max_strokes = 2};

BatchOptions on(int threads) {
  BatchOptions o;
  o.threads = threads;
  o.run.stop_at_verdict = false;
  return o;
}

/// Every number a run ends with, in one list.
std::vector<double> numbers(const Run& r) {
  std::vector<double> n{r.books.oil_rel_error, r.books.air_rel_error, r.books.energy.pump_j, r.books.stored_j,
                        static_cast<double>(r.quanta), r.contents.time_s, r.contents.ledger.air_vented_kg};
  for (const StrokeRow& s : r.strokes) {
    n.insert(n.end(), s.free.mismatch_m.begin(), s.free.mismatch_m.end());
    n.insert(n.end(), s.load.mismatch_m.begin(), s.load.mismatch_m.end());
    n.insert(n.end(), s.free_air_m3.begin(), s.free_air_m3.end());
    n.insert(n.end(), {s.time_s, s.level_m, s.highest_pa_abs, s.lowest_pa_abs});
  }
  for (const auto* list : {&r.contents.pressure_pa_abs, &r.contents.position_m, &r.series.time_s, &r.series.value})
    n.insert(n.end(), list->begin(), list->end());
  return n;
}

/// The batch is refused, naming the field, before any row has run: nobody was told of progress.
void check_refused(const std::string& field, const std::vector<Rig>& rigs, const std::vector<Contents>& contents,
                   const std::vector<Procedure>& procedures, const Table& rows) {
  int told = 0;
  BatchOptions o = on(2);
  o.progress = [&](std::size_t, std::size_t) { return ++told > 0; };
  std::string named;
  try {
    run_batch(rigs, contents, procedures, rows, o);
  } catch (const InputError& e) {
    named = e.field;
  }
  CHECK(named == field);
  CHECK(told == 0);
}

}  // namespace

TEST_SUITE("analysis/batch") {
  TEST_CASE("agreement: one, two and three threads and runs made one by one give the same numbers bit for bit") {
    const Table t = members_from_bands(rig, 7, 5);
    const std::vector<Run> one = run_batch({rig}, {opened}, {two_strokes}, t, on(1));
    REQUIRE(one.size() == 7);
    for (const int threads : {2, 3}) {
      const std::vector<Run> more = run_batch({rig}, {opened}, {two_strokes}, t, on(threads));
      for (std::size_t i = 0; i < 7; ++i) CHECK(numbers(more.at(i)) == numbers(one[i]));
    }
    for (std::size_t i = 0; i < 7; ++i) {
      Rig r = rig;
      for (std::size_t c = 0; c < t.column.size(); ++c) set_field(r, t.column[c], t.value[i * t.column.size() + c]);
      CHECK(numbers(run(r, opened, two_strokes, on(1).run)) == numbers(one[i]));
      if (i > 0) CHECK(numbers(one[i]) != numbers(one[0]));
    }
  }
  TEST_CASE("law: contents that have not run are made from the row's own rig; others keep their air") {
    const Table t{{"air.joint_m3"}, {0.2e-6, 0.4e-6, 1.2e-6}};
    const std::vector<Run> fresh = run_batch({rig}, {opened}, {two_strokes}, t, on(2));
    for (std::size_t i = 0; i < 3; ++i)
      CHECK(near(fresh[i].strokes.at(0).pocket_m3 + fresh[i].strokes[0].coarse_m3 + fresh[i].strokes[0].fine_m3, t.value[i], 1e-3, 0));
    const Contents used = fresh[1].contents;
    for (const Run& r : run_batch({rig}, {used}, {two_strokes}, t, on(2)))
      CHECK(near(r.strokes.at(0).pocket_m3 + r.strokes[0].coarse_m3 + r.strokes[0].fine_m3, free_air_m3(total(used).gas_kg()), 1e-9, 0));
  }
  TEST_CASE("law: rigs, contents and procedures come one for all or one a row, and row i gets the i-th") {
    Procedure one_stroke = two_strokes;
    one_stroke.max_strokes = 1;
    Rig heavy = rig;
    heavy.panel.mass_kg *= 2;
    const std::vector<Run> r =
        run_batch({rig, heavy}, {opened, bled(heavy)}, {two_strokes, one_stroke}, {{}, {}, 2}, on(2));
    CHECK(numbers(r.at(0)) == numbers(run(rig, opened, two_strokes, on(1).run)));
    CHECK(numbers(r.at(1)) == numbers(run(heavy, bled(heavy), one_stroke, on(1).run)));
    CHECK(run_batch({rig}, {opened}, {two_strokes}, {{"air.joint_m3"}, {}}, on(2)).empty());
  }
  TEST_CASE("check: what cannot be run is refused before anything runs, wherever in the list it stands") {
    const Table three{{}, {}, 3}, names{{"air.joint_m3", "air.slug_slip"}, {1e-6, 0.5, 1e-6, 0.5, 1e-6}};
    using Inside = std::vector<Contents>;
    check_refused("rigs", std::vector<Rig>{rig, rig}, {opened}, {two_strokes}, three);
    check_refused("rigs", std::vector<Rig>{}, {opened}, {two_strokes}, three);
    check_refused("contents", {rig}, Inside{opened, opened}, {two_strokes}, three);
    check_refused("procedures", {rig}, {opened}, std::vector<Procedure>(4, two_strokes), three);
    check_refused("rows", {rig}, {opened}, {two_strokes}, names);
    check_refused("air.slug_slipp", {rig}, {opened}, {two_strokes}, {{"air.slug_slipp"}, {0.5, 0.5}});
    check_refused("air.slug_slip", {rig}, {opened}, {two_strokes}, {{"air.slug_slip"}, {0.5, 0.5, 1.5}});
    Rig other = rig;
    other.branches[0].name = "other";
    const Contents foreign = run(other, bled(other), two_strokes).contents;
    check_refused("contents", {rig}, Inside{opened, opened, foreign}, {two_strokes}, three);
    Rig tee = rig;
    tee.synchroniser.kind = SynchroniserKind::tee;   // has no bypass to open
    CHECK_THROWS_AS(run_batch({rig, rig, tee}, {bled(rig), bled(rig), bled(tee)}, {two_strokes}, three), InputError);
  }
  TEST_CASE("law: a row that nature stops keeps its status and its place; its neighbours run on") {
    Procedure lift = two_strokes;
    lift.steps[0].rods = Rods::panel;
    const Table t{{"valve_block.relief_pa_gauge"}, {100e5, 5e5, 100e5}};
    const std::vector<Run> r = run_batch({rig}, {opened}, {lift}, t, on(2));
    CHECK((r.at(0).status.ok() && r.at(1).status.outcome == Outcome::stalled));
    CHECK(r[1].status.message.find("relief") != std::string::npos);
    CHECK(numbers(r.at(2)) == numbers(r[0]));
  }
  TEST_CASE("law: stopped by progress or by the flag, rows not reached are interrupted, the others whole") {
    constexpr std::size_t rows = 400;   // more than are done before anybody looks
    const std::vector<double> whole = numbers(run(rig, opened, two_strokes, on(1).run));
    const std::atomic<bool> flag{true};
    const auto caller = std::this_thread::get_id();
    for (const bool by_progress : {true, false}) {
      BatchOptions o = on(2);
      int told = 0;
      if (!by_progress) o.run.stop = &flag;
      else o.progress = [&](std::size_t done, std::size_t of) {
        CHECK((done <= of && of == rows && std::this_thread::get_id() == caller));
        return ++told < 2;
      };
      const std::vector<Run> r = run_batch({rig}, {opened}, {two_strokes}, {{}, {}, rows}, o);
      REQUIRE(r.size() == rows);
      CHECK(told == (by_progress ? 2 : 0));
      CHECK((r.back().status.outcome == Outcome::interrupted && r.back().strokes.empty()));
      for (const Run& one : r) CHECK((one.status.outcome == Outcome::interrupted || numbers(one) == whole));
    }
  }
}
