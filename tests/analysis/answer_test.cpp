#include "evenstroke/analysis/answer.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <functional>
#include <tuple>

#include "evenstroke/analysis/sample.hpp"
#include "evenstroke/base/error.hpp"
#include "support/bench.hpp"

using namespace evenstroke;
namespace {

constexpr double inf = std::numeric_limits<double>::infinity();

Rig short_rig(SynchroniserKind kind = SynchroniserKind::metering_pistons, bool even_load = false) {
  Rig r = testing::workshop_rig(kind, even_load);
  for (Branch& b : r.branches) b.cylinder.stroke_m = 0.02;
  return r;
}
Procedure strokes(int most, bool bypass_open = true) {
  return {.name = "", .steps = {{.bypass_open = bypass_open, .dwell_s = 0}}, .max_strokes = most};
}
AnswerOptions sixteen(double tolerance_m = 0, double confidence = 0.95) {
  AnswerOptions o{.confidence = confidence, .members = 16, .batch = {}};
  o.batch.run.tolerance_m = tolerance_m;
  return o;
}

/// A tolerance that so many of the sixteen members' bled twins miss, and the seed of a sample that has a gap there.
struct Missed { double tolerance_m; std::uint64_t seed; };
Missed missed_by(std::size_t members, const Rig& rig) {
  BatchOptions o;
  o.run.max_strokes = 1;
  for (std::uint64_t seed = 1; seed <= 20; ++seed) {
    std::vector<double> e_m;
    for (const Run& r : run_batch({rig}, {bled(rig)}, {strokes(1, false)}, members_from_bands(rig, 16, seed), o))
      e_m.push_back(std::abs(r.twin_load.worst_m()));
    std::sort(e_m.begin(), e_m.end(), std::greater<>());
    if (e_m[members - 1] > 1.01 * e_m[members]) return {0.5 * (e_m[members - 1] + e_m[members]), seed};
  }
  FAIL("no sample with a gap");
  return {};
}

}  // namespace

TEST_SUITE("analysis/answer") {
  // Definition 1 of Hyndman and Fan (1996), from memory: the inverse of the empirical distribution function.
  TEST_CASE("reference: the quantile is the smallest value with at least that share of all at or below it") {
    for (const auto& [q, x] : {std::pair{0.0, 10.0}, {0.2, 10.0}, {0.21, 20.0}, {0.5, 30.0}, {0.6, 30.0}, {0.61, 40.0},
                               {0.8, 40.0}, {0.81, inf}, {1.0, inf}}) {
      const auto shown_q = q;   // clang 14 captures no structured binding
      CAPTURE(shown_q);
      CHECK(quantile({40, 10, inf, 30, 20}, q) == x);
    }
    CHECK((quantile({4, 1, 3, 2}, 0.5) == 2 && quantile({inf, 1, inf}, 0.5) == inf));
    std::vector<double> forty;
    for (int i = 40; i > 0; --i) forty.push_back(i);
    CHECK(quantile(forty, (1 - 0.95) / 2) == 1);    // a fortieth: the first, whatever the rounding of 1 - 0.95
    CHECK(quantile(forty, (1 + 0.95) / 2) == 39);
  }
  // Ranks of the usual range of a median (sign test), and Wilks (1941): the largest of 59 covers 95 % with 95 %; both from
  // memory.
  TEST_CASE("reference: ranks between which a quantile lies with 95 % a side") {
    const auto ranks = [](std::size_t n) {
      std::vector<double> v;
      for (std::size_t i = 1; i <= n; ++i) v.push_back(static_cast<double>(i));
      return v;
    };
    for (const auto& [n, low, high] : {std::tuple{10, 2, 9}, {20, 6, 15}, {25, 8, 18}}) {
      const Known k = known_to(ranks(static_cast<std::size_t>(n)), 0.5);
      CHECK((k.low == low && k.high == high));
    }
    CHECK(known_to(ranks(59), 0.95).high == 59);
    CHECK(known_to(ranks(58), 0.95).high == inf);
    CHECK(known_to(ranks(58), 0.05).low == 1);
    CHECK((known_to({inf, inf}, 0.5).low == 1 && known_to(std::vector<double>(200, inf), 0.025).low == inf));
  }

  TEST_CASE("law: a sample grows until the band is known, and is then the answer of a sample of that size") {
    const Rig rig = short_rig();
    AnswerOptions o = sixteen();
    o.members = 0;
    std::size_t told = 0;
    o.batch.progress = [&](std::size_t done, std::size_t of) { return told = std::max(told, done), done <= of; };
    const Answer grown = strokes_to_parallel(rig, bled(rig), strokes(4), o);
    CHECK(grown.members == 128);                             // 0.975^119 = 0.049: the ends of 95 % take 119 at least
    CHECK(grown.bled.own_error == 0);
    CHECK(told <= 128);
    o.members = 128;
    CHECK(strokes_to_parallel(rig, bled(rig), strokes(4), o).table.value == grown.table.value);
    o.members = 16;
    CHECK(strokes_to_parallel(rig, bled(rig), strokes(4), o).bled.own_error == inf);
  }

  TEST_CASE("limit: without any air every member is bled at the first stroke") {
    const Rig rig = short_rig();
    const Answer a = strokes_to_parallel(rig, bled(rig), strokes(12), sixteen());
    CHECK((a.complete && a.bled.possible && a.bled.defined));
    CHECK((a.members == 16 && a.failed == 0 && a.limiting.empty() && a.reason.empty()));
    CHECK(a.bled.member == std::vector<double>(16, 1.0));
    CHECK(a.bled.text == "1 (1 to 1)");
    CHECK(a.bled.p_never + a.bled.p_not_within == 0);
  }
  // Equal loads on a tee: seals and fittings decide which rod leads and by how much, so the bled twins spread widely.
  TEST_CASE("law: a member whose bled twin misses the tolerance is never parallel, and the band ends at never") {
    const Rig tee = short_rig(SynchroniserKind::tee, true);
    const auto parallel = [&](std::size_t missing, double confidence) {
      const Missed at = missed_by(missing, tee);
      AnswerOptions o = sixteen(at.tolerance_m, confidence);
      o.seed = at.seed;
      const Count c = strokes_to_parallel(tee, bled(tee), strokes(12, false), o).parallel;
      CHECK(std::count(c.member.begin(), c.member.end(), inf) == static_cast<long>(missing));
      CHECK((c.p_never == static_cast<double>(missing) / 16 && c.p_not_within == 0));
      CHECK(c.possible == (missing <= 8));   // with half of them there, the median is there
      return c.text;
    };
    CHECK(parallel(8, 0.95) == "1 (1 to never)");
    CHECK(parallel(11, 0.5) == "never (1 to never)");   // a quarter may be left out below, five of sixteen are more
    CHECK(parallel(1, 0.9) == "1 (1 to never)");    // a twentieth may be left out above, one of sixteen is more
    CHECK(parallel(1, 0.75) == "1 (1 to 1)");       // an eighth may
  }
  TEST_CASE("law: four strokes inside are needed, so nobody is there within three and all are within four") {
    const Rig rig = short_rig();
    CHECK(strokes_to_parallel(rig, bled(rig), strokes(3), sixteen()).bled.text == "not within 3 strokes");
    CHECK(strokes_to_parallel(rig, bled(rig), strokes(4), sixteen()).bled.text == "1 (1 to 1)");
  }
  TEST_CASE("law: before a second pass of the steps nobody is called never, only not within") {
    const Rig rig = short_rig();
    Procedure two_a_pass = strokes(3);
    two_a_pass.steps[0].strokes = 2;
    const Answer a = strokes_to_parallel(rig, after_exchange(rig, {"b.cap_line"}, {}), two_a_pass, sixteen());
    CHECK((a.bled.p_not_within == 1 && a.bled.p_never == 0));   // the line holds the air of three strokes
  }
  TEST_CASE("law: on a tee with free rods bled is not defined, parallel is answered all the same") {
    Rig rig = short_rig(SynchroniserKind::tee);
    rig.panel.torsion_n_m_per_rad = 0;
    const Answer a = strokes_to_parallel(rig, bled(rig), strokes(12, false), sixteen());
    CHECK((!a.bled.defined && !a.bled.possible && std::isnan(a.bled.member.at(0))));
    CHECK(a.bled.text == "not defined on this circuit");
    CHECK(a.parallel.text == "never with this procedure");   // the lighter rod goes first
    CHECK(a.reason.find("without any air") != std::string::npos);
  }
  TEST_CASE("agreement: a member's count is the verdict of its own run; the air left over is named") {
    const Rig rig = short_rig();
    const Contents c = after_exchange(rig, {}, {"b.cap_line"});
    const Answer a = strokes_to_parallel(rig, c, strokes(8), sixteen());
    const Table& t = a.table;
    for (std::size_t i = 0; i < 16; ++i) {
      Rig r = rig;
      for (std::size_t k = 0; k < t.column.size(); ++k) set_field(r, t.column[k], t.value[i * t.column.size() + k]);
      const Verdict v = run(r, c, strokes(8)).bled;
      CHECK(a.bled.member[i] == (v.answered == Answered::reached ? v.stroke : inf));
    }
    REQUIRE(!a.limiting.empty());
    CHECK((a.limiting[0].place == "b.cap_line" && a.limiting[0].matters));
    CHECK(a.limiting[0].free_air_m3 < rig.air.joint_m3 * 1.000001);
    CHECK(a.limiting[0].free_air_m3 > 0.5 * rig.air.joint_m3);   // the line holds more than a stroke moves
  }
  TEST_CASE("law: members that stall are failed and not counted; a stop leaves the answer incomplete") {
    Rig rig = short_rig();
    const std::atomic<bool> stop{true};
    AnswerOptions o = sixteen();
    o.members = 1000;
    o.batch.run.stop = &stop;
    CHECK_FALSE(strokes_to_parallel(rig, bled(rig), strokes(12), o).complete);
    rig.valve_block.relief_pa_gauge = 5e5;
    Procedure lift = strokes(12);
    lift.steps[0].rods = Rods::panel;
    const Answer a = strokes_to_parallel(rig, bled(rig), lift, sixteen());
    CHECK((a.failed == 16 && a.complete && !a.bled.possible));
    CHECK(a.bled.text == "no member could be computed");
  }
  TEST_CASE("check: confidence and members outside their ranges are refused by name") {
    const auto refused = [rig = short_rig()](double confidence, std::size_t members) -> std::string {
      try {
        strokes_to_parallel(rig, bled(rig), strokes(4), {.confidence = confidence, .members = members, .batch = {}});
      } catch (const InputError& e) {
        return e.field;
      }
      return "";
    };
    for (const double bad : {0.0, 0.4999, 0.9991, 95.0, std::nan("")}) CHECK(refused(bad, 2) == "confidence");
    for (const std::size_t bad : {1U, 65537U}) CHECK(refused(0.95, bad) == "members");
    for (const double good : {0.5, 0.999}) CHECK(refused(good, 2).empty());
  }
}
