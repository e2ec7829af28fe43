// Gas above a port that lies under the roof, when the return is so fast that the chamber stands under pressure: of it
// h A stays at that pressure, expands when the rod stops, and is squeezed again by the next lift.
#include <doctest/doctest.h>

#include "support/line_air.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

TEST_SUITE("limits/fast_return") {
  TEST_CASE("limit: the rod lags h (p_ret/p_rest)(1 - p_rest/p) for ever, p_ret in the return, p_rest after it") {
    for (const double h_m : {1e-3, 3e-3, 5e-3})
      for (const double supply_v : {4.0, 8.0}) {
        CAPTURE(h_m);
        CAPTURE(supply_v);
        Rig r = bleed_rig(2);
        r.air.saturation = 0;
        r.pump.supply_v = supply_v;
        r.branches[0].cylinder.cap_clearance_m3 = 6e-6;
        r.branches[0].cylinder.cap_port_m = h_m;
        BleedBench b(r, {}, true);
        const double area = b.stroke_m3() / b.net.axes[0].travel_m;
        b.retract();
        const double p_ret = b.pressure("left.cap_chamber");   // with oil alone in the line
        b.rest(60);
        b.extend();
        // Gas comes in under the load's pressure, so that all lies above the port until the return runs; a hundredth
        // more than stays, since a long slug in the line would ease the return.
        const double p_load = b.pressure("left.cap_chamber");
        REQUIRE(p_load > 1.5 * p_ret);
        b.add_gas("left.cap_chamber", 1.01 * h_m * area * p_ret / p_load, false);
        b.c.recipe.valid = false;
        const double first_kg = b.gas_kg();
        const KeptBooks books(b.c);
        for (int cycle = 0; cycle < 6; ++cycle) {
          b.retract();
          b.rest(60);
          const double p_rest = b.pressure("left.cap_chamber");
          b.extend();
          const double p = b.pressure("left.cap_chamber");
          const double lag_m = b.gas_m3(b.gas_kg(), p_rest) * (1 - p_rest / p) / area;
          const double closed_m = h_m * p_ret / p_rest * (1 - p_rest / p);
          CHECK(near(lag_m, closed_m, 5e-3, 0));
          CHECK(p_ret > 1.2 * p_rest);   // else this is the slow return
          MESSAGE("h " << h_m << ", " << p_ret / p_rest << " times: off by " << lag_m / closed_m - 1);
        }
        CHECK(b.gas_kg() < 0.995 * first_kg);   // what was too much is gone
        books.check(b.c);
      }
  }
}
