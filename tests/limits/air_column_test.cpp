// Free air in one trapped column, by whole check strokes of a rig with metering pistons: the air is squeezed from p0 to
// the pressure that carries the load before its rod moves, so the rod lags by V0 (1 - p0/p)/A for good.
#include <doctest/doctest.h>

#include "evenstroke/procedure/run.hpp"
#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::bench_rig;

namespace {

const Procedure one_stroke{.name = "one", .steps = {{.dwell_s = 1}}, .max_strokes = 1};

/// Two equal columns under `p_pa_gauge`; nearly no drop in the lines, so that the load alone sets the pressure.
Rig rig_at(double p_pa_gauge) {
  Rig r = bench_rig(2, SynchroniserKind::metering_pistons, 12e-6);
  for (Branch& b : r.branches) {
    b.cylinder.cap_clearance_m3 = 3e-6;
    b.cap_line.bore_m = b.rod_line.bore_m = 8e-3;
  }
  r.reservoir.height_m = -r.reservoir.oil_m3 / r.reservoir.area_m2;   // no column on the air before the stroke
  r.panel.mass_kg = 2 * p_pa_gauge * cap_area_m2(r.branches[0].cylinder) / gravity_m_per_s2;
  return r;
}

/// Bled contents with `air_m3` (at p0) of gas instead of oil in one place of branch `a`.
Contents with_air(const Rig& r, double air_m3, bool in_line) {
  const Network n = make_network(r, {0, 1});
  Contents c = bled(r);
  const auto p = static_cast<std::size_t>(n.place(in_line ? "a.cap_line" : "a.cap_chamber"));
  const double gas_kg = air_m3 * p0_pa_abs / n.gas_j_per_kg;
  if (in_line)
    c.line[p].queue[c.line[p].queue.count++] = {0.0, gas_kg, 0.0, true};
  else
    c.masses[p].pocket_kg = gas_kg;
  c.recipe.valid = false;
  return fit(c, n);
}

Run run_with(const Rig& r, const Contents& c) {
  RunOptions options;
  options.record = false;
  const Run run = evenstroke::run(r, c, one_stroke, options);
  REQUIRE(run.status.ok());
  CHECK(run.books.oil_rel_error <= 1e-12);
  CHECK(run.books.air_rel_error <= 1e-12);
  return run;
}

}  // namespace

TEST_SUITE("limits/air_column") {
  TEST_CASE("limit: free air V0 in one column costs V0 (1 - p0/p)/A of travel, at every station and pressure") {
    constexpr double v0_m3 = 1e-6;
    for (const double p_pa_gauge : {3e5, 28e5, 120e5})
      for (const bool in_line : {false, true}) {
        CAPTURE(p_pa_gauge);
        CAPTURE(in_line);
        const Rig r = rig_at(p_pa_gauge);
        const double area = cap_area_m2(r.branches[0].cylinder), p = p0_pa_abs + p_pa_gauge;
        const double air = v0_m3 * (1 - p0_pa_abs / p), oil = v0_m3 * p_pa_gauge / r.oil.modulus_40_pa;
        const Check with = run_with(r, with_air(r, v0_m3, in_line)).strokes[0].load;
        const Check without = run_with(r, bled(r)).strokes[0].load;
        REQUIRE(with.state == CheckState::ok);
        for (std::size_t i = 0; i < stations.size(); ++i) {
          const double lag_m = without.mismatch_m[i] - with.mismatch_m[i];   // x of a - x of b: a lags
          CHECK(near(lag_m, air / area, 5e-3, 0));
          CHECK(near(lag_m, (air - oil) / area, 1e-3, 0));   // the oil that is not there would have shrunk, too
        }
        const double lag_m = without.mismatch_m[1] - with.mismatch_m[1];
        MESSAGE("off by " << lag_m * area / air - 1 << ", with the oil's share " << lag_m * area / (air - oil) - 1);
      }
  }
  TEST_CASE("limit: 1 mL on a 20 mm bore at 28 bar gauge is a lag of 3.07 mm") {
    const Rig r = rig_at(28e5);
    const Check c = run_with(r, with_air(r, 1e-6, false)).strokes[0].load;
    CHECK(near(-c.mismatch_m[1], 3.07e-3, 5e-3, 0));   // 1 mL x (1 - 1.01325/29.01325)/314.16 mm2 = 3.072 mm
  }
  TEST_CASE("limit: the lag is proportional to the air, and changes sides with it") {
    const Rig r = rig_at(28e5);
    const double one = run_with(r, with_air(r, 1e-6, false)).strokes[0].load.mismatch_m[1];
    const double two = run_with(r, with_air(r, 2e-6, false)).strokes[0].load.mismatch_m[1];
    CHECK(near(two, 2 * one, 1e-3, 0));
    Contents both = with_air(r, 1e-6, false);
    const Network n = make_network(r, {0, 1});
    both.masses[static_cast<std::size_t>(n.place("b.cap_chamber"))] =
        both.masses[static_cast<std::size_t>(n.place("a.cap_chamber"))];
    CHECK(near(run_with(r, both).strokes[0].load.mismatch_m[1], 0, 0, 1e-12 * 0.25));
  }
}
