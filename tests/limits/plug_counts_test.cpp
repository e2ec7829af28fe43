// Plug flow, gas well mixed in the chamber: cycles until one hundredth of it is left, ceil(ln 0.01/ln r) with
// r = (V_c + min(V_l, V_s))/(V_c + V_s). Three cases by volume; and gas that is only sent to and fro.
#include <doctest/doctest.h>

#include <cmath>

#include "support/line_air.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

Rig rig_of(double clearance_m3, double stroke_m3, double line_m3) {
  Rig r = bleed_rig(length_for(line_m3));
  r.air.fine_m = 1e-7;
  r.air.saturation = 0;
  r.panel.mass_kg = 0;
  r.reservoir.oil_m3 = 0.9;
  r.reservoir.capacity_m3 = 1;
  r.branches[0].cylinder.cap_clearance_m3 = clearance_m3;
  r.branches[0].cylinder.stroke_m = stroke_m3 / cap_area_m2(r.branches[0].cylinder);
  return r;
}

}  // namespace

TEST_SUITE("limits/plug_counts") {
  TEST_CASE("limit: 1 % is left after 5, 3 and 23 cycles") {
    struct Case {
      double clearance_ml, stroke_ml, line_ml, ratio;
      int cycles;
    };
    // 25 x 150 mm is 73.63 mL, 4 mm x 2 m is 25.13 mL: (3 + 25.13)/(3 + 73.63) = 0.3671, ln 0.01/ln 0.3671 = 4.60;
    // the others 2.18 and 22.03
    for (const Case& x : {Case{3, 73.63, 25.13, 0.367, 5}, {3, 73.63, 6.283, 0.121, 3}, {2, 31.4, 25.1, 0.8114, 23}}) {
      CAPTURE(x.stroke_ml);
      CAPTURE(x.line_ml);
      BleedBench b(rig_of(x.clearance_ml * 1e-6, x.stroke_ml * 1e-6, x.line_ml * 1e-6), {.streamtubes = 1}, true);
      b.add_gas("left.cap_chamber", 1e-7, true);
      const KeptBooks books(b.c);
      const double first = b.gas_kg("left.cap_chamber");
      double last = first, worst = 0;
      int cycles = 0;
      while (last > 0.01 * first) {
        REQUIRE(++cycles < 40);
        b.retract();
        b.rest();
        b.extend();
        const double now = b.gas_kg("left.cap_chamber");
        if (now > 0.02 * first) CHECK(near(now / last, x.ratio, 5e-3, 0));   // later, what is drawn in again shows
        if (now > 0.02 * first) worst = std::max(worst, std::abs(now / last / x.ratio - 1));
        last = now;
      }
      CHECK(cycles == x.cycles);
      books.check(b.c);
      MESSAGE("stroke " << x.stroke_ml << " line " << x.line_ml << " cycles " << cycles << " ratio off by "
                        << worst);
    }
  }

  TEST_CASE("limit: V_s <= V_l: gas in chamber and line is the same from the first cycle on, bubbles and slug alike") {
    for (const bool bubbles : {true, false})
      for (const double stroke_ml : {5.0, 20.1, 25.0}) {
        CAPTURE(bubbles);
        CAPTURE(stroke_ml);
        Rig r = rig_of(2e-6, stroke_ml * 1e-6, 25.13e-6);
        r.air.slug_slip = 0;
        BleedBench b(r, {.streamtubes = 1}, true);
        b.add_gas("left.cap_chamber", bubbles ? 1e-7 : 0.2e-6, bubbles);
        const double first = b.gas_kg();
        for (int cycle = 0; cycle < 6; ++cycle) {
          b.retract();
          b.rest();
          b.extend();
          // Less than a nanogram of bubbles left in a line counts as dissolved; a slug keeps every molecule.
          CHECK(near(b.gas_kg(), first, 1e-12, bubbles ? 1e-12 * (cycle + 1) : 0.0));
        }
        CHECK(b.c.ledger.air_vented_kg < 1e-12);   // of 1e-7 kg and more: that nanogram again
        CHECK(b.c.reservoir.fine_kg < 1e-12);
      }
  }
}
