#include <doctest/doctest.h>

#include <cmath>

#include "support/bleed_bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

// Plug flow, a trace of gas mixed into the cap chamber. A return takes V_s + V_o out of V_c + V_s + V_o and leaves the
// rest; the next extension brings back what is still in the line. So per cycle the chamber keeps
//   (V_c + V_l)/(V_c + V_s + V_o) of its gas while V_l < V_s + V_o, and all of it in a longer line.

namespace {

Procedure strokes_with_bypass_open(int most) {
  Procedure p;
  p.steps = {{.bypass_open = true, .strokes = 1, .dwell_s = 20, .rods = Rods::panel, .repeat = true}};
  p.max_strokes = most;
  return p;
}

/// The pair with fine bubbles in the left cap chamber, volume at p0.
Contents bubbly(const Rig& r, double gas_m3) {
  Contents c = bled(r);
  const Network n = make_network(r, {0, 1});
  Masses& m = c.masses[static_cast<std::size_t>(n.place("left.cap_chamber"))];
  m.fine_kg = gas_m3 * p0_pa_abs / n.gas_j_per_kg;
  m.oil_kg -= gas_m3 * n.rho0_kg_per_m3;
  c.recipe.valid = false;
  return c;
}

}  // namespace

TEST_SUITE("limits/bleed_plug") {
  TEST_CASE("limit: a trace of gas shrinks by (V_c + V_l)/(V_c + V_s) per cycle, decompressed oil included in V_s") {
    for (const double mass_kg : {20.0, 400.0})
      for (const double share : {0.15, 0.5, 0.9, 0.998, 1.0015}) {   // of the stroke volume; V_o is 0.3 % at 400 kg
        CAPTURE(mass_kg);
        CAPTURE(share);
        Rig r = bleed_rig(length_for(share * 0.1 * cap_area_m2(bleed_rig(1).branches[0].cylinder)));
        r.panel.mass_kg = mass_kg;
        BleedBench b(r, {}, true);
        b.add_gas("left.cap_chamber", 1e-9, true);
        for (int cycle = 0; cycle < 3; ++cycle) {
          CAPTURE(cycle);
          const double before = b.gas_kg("left.cap_chamber");
          const double swept = b.stroke_m3() + b.decompressed_m3(b.pressure("left.cap_chamber"));
          b.retract();
          b.rest();
          b.extend();
          const double ratio = (b.clearance_m3() + std::min(b.line_m3(), swept)) / (b.clearance_m3() + swept);
          CHECK(near(b.gas_kg("left.cap_chamber") / before, ratio, 5e-3, 0));
        }
      }
  }

  TEST_CASE("limit: a line that holds more than the stroke brings all of it back: the ratio is exactly 1") {
    for (const double mass_kg : {20.0, 400.0})
      for (const double share : {1.02, 1.9}) {
        CAPTURE(mass_kg);
        CAPTURE(share);
        Rig r = bleed_rig(length_for(share * 0.1 * cap_area_m2(bleed_rig(1).branches[0].cylinder)));
        r.panel.mass_kg = mass_kg;
        BleedBench b(r, {}, true);
        b.add_gas("left.cap_chamber", 1e-9, true);
        const double before = b.gas_kg("left.cap_chamber");
        for (int cycle = 0; cycle < 5; ++cycle) {
          b.retract();
          b.rest();
          b.extend();
          CHECK(near(b.gas_kg("left.cap_chamber"), before, 1e-5, 0));
        }
        CHECK(b.c.ledger.air_vented_kg == 0.0);
      }
  }

  TEST_CASE("limit: run says never for a line longer than the stroke, and the count of the ratio for a shorter one") {
    const double stroke = 0.1 * cap_area_m2(bleed_rig(1).branches[0].cylinder);
    RunOptions options;
    options.record = false;
    options.resolution.streamtubes = 1;
    options.tolerance_m = 2e-4;
    for (const double share : {0.3, 0.6, 0.9, 1.03, 1.5}) {
      CAPTURE(share);
      const Rig r = bleed_pair_rig(length_for(share * stroke));
      const Run run_ = run(r, bubbly(r, 0.5e-6), strokes_with_bypass_open(30), options);
      REQUIRE(run_.status.ok());
      CHECK(run_.books.air_rel_error < 1e-12);
      CHECK(run_.books.oil_rel_error < 1e-12);
      const double lag = std::abs(run_.strokes.front().air_part_m[1]);
      CHECK(lag > 2 * options.tolerance_m);
      if (share > 1) {
        CHECK(run_.bled.answered == Answered::never);
        CHECK(run_.parallel.answered == Answered::never);
        CHECK(run_.strokes.back().vented_m3 == 0.0);
        continue;
      }
      const double clearance = r.branches[0].cylinder.cap_clearance_m3;
      const double ratio = (clearance + share * stroke) / (clearance + stroke);
      CHECK(run_.bled.answered == Answered::reached);
      CHECK(run_.bled.stroke == static_cast<int>(std::ceil(std::log(options.tolerance_m / lag) / std::log(ratio))));
    }
  }
}
