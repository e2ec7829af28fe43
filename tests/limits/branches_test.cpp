// One to eight branches, unlike in bore, stroke, lines and load, behind every synchroniser that takes so many.
#include <doctest/doctest.h>

#include <cmath>
#include <numeric>

#include "support/bench.hpp"
#include "support/kinds.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

bool takes(SynchroniserKind kind, int branches) {
  if (is_spool(kind)) return branches == 2;
  return kind != SynchroniserKind::series_pair || branches > 1;
}

Rig many(SynchroniserKind kind, int branches) {
  Rig r = with_kind(workshop_rig(SynchroniserKind::tee), kind);
  r.panel.mass_kg = 60;
  r.rotary.outlet_relief_pa_gauge = 95e5;
  r.rotary.makeup_m3_per_s_pa = 1e-9;
  r.series.rephasing_area_m2 = 0.5e-6;
  r.reservoir.oil_m3 = 3e-3, r.reservoir.capacity_m3 = 5e-3;
  const Branch first = r.branches[0];
  r.branches.clear();
  for (int i = 0; i < branches; ++i) {
    Branch b = first;
    b.name = std::string(1, static_cast<char>('a' + i));
    b.cap_line.length_m += 0.2 * i;
    b.rod_line.length_m += 0.1 * i;
    if (kind == SynchroniserKind::series_pair && i > 0) {
      const Cylinder& before = r.branches.back().cylinder;
      b.cylinder.bore_m = std::sqrt(before.bore_m * before.bore_m - before.rod_m * before.rod_m);
      b.cylinder.rod_m = 0.3 * b.cylinder.bore_m;
    } else if (kind == SynchroniserKind::series_pair) {
      b.cylinder.bore_m = 0.04, b.cylinder.rod_m = 0.012;
    } else if (kind != SynchroniserKind::metering_pistons) {
      b.cylinder.bore_m *= 1 + 0.02 * i;
    }
    r.branches.push_back(b);
  }
  return r;
}

}  // namespace

TEST_SUITE("limits/branches") {
  TEST_CASE("balance: one to eight unlike branches go out and home behind every synchroniser, with air in one, and the books close") {
    for (const SynchroniserKind kind : all_kinds)
      for (int n = 1; n <= 8; ++n) {
        if (!takes(kind, n)) continue;
        CAPTURE(static_cast<int>(kind));
        CAPTURE(n);
        const Rig r = many(kind, n);
        Bench b(r);
        b.take(after_exchange(r, {}, {"a.cap_line"}));
        const bool panel = n < 3 && kind != SynchroniserKind::tee;
        for (const bool out : {true, false}) {
          b.drive({.motor = true, .extend = out, .retract = !out, .on_panel = panel}, 200, [&](const Contents& c, const FlowEngine::Quantum&) {
            bool all = true;
            for (int i = 0; i < n; ++i) all = all && c.position_m[static_cast<std::size_t>(i)] == (out ? 0.15 : 0.0);
            return all;
          });
          for (int i = 0; i < n; ++i) CHECK(near(b.c.position_m[static_cast<std::size_t>(i)], out ? 0.15 : 0.0, 0, 4e-3));
        }
      }
  }
  TEST_CASE("limit: the sections of a rotary divider give eight equal rods the eighth part each") {
    Rig r = with_kind(bench_rig(8, SynchroniserKind::rotary_divider, 24e-6), SynchroniserKind::rotary_divider);
    r.rotary.section_slip = 0;
    for (Branch& b : r.branches) b.cylinder.viscous_n_s_per_m = 100;
    Bench b(r);
    b.drive({.motor = true, .extend = true}, 10);
    for (std::size_t i = 0; i < 8; ++i) CHECK(near(b.c.position_m[i], 24e-6 * 10 / 8 / cap_area_m2(b.cylinder(i)), 0.01, 0));
  }
  TEST_CASE("check: a spool divides in two, a chain has two members at least, and what must be given is asked for by name") {
    Rig three = many(SynchroniserKind::rotary_divider, 3);
    three.synchroniser.kind = SynchroniserKind::spool_divider;
    CHECK_THROWS_WITH_AS(check(three), doctest::Contains("2 branches"), InputError);
    Rig one = many(SynchroniserKind::tee, 1);
    one.synchroniser.kind = SynchroniserKind::series_pair;
    CHECK_THROWS_WITH_AS(check(one), doctest::Contains("2 at least"), InputError);
    Rig spool = workshop_rig(SynchroniserKind::spool_divider);
    CHECK_THROWS_WITH_AS(check(spool), doctest::Contains("rated_flow"), InputError);
    spool.synchroniser.kind = SynchroniserKind::rotary_divider;
    CHECK_THROWS_WITH_AS(check(spool), doctest::Contains("section"), InputError);
    spool.synchroniser.kind = SynchroniserKind::tee;         // what is not there need not be given
    CHECK_NOTHROW(check(spool));
  }
}
