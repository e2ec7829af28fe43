#include <doctest/doctest.h>

#include <cmath>

#include "support/bleed_bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

// Gas that no number of strokes takes out: in a long dry line, above a port that lies low, under a roof above the port.

TEST_SUITE("limits/bleed_residue") {
  TEST_CASE("limit: a dry line longer than the stroke keeps (V_l - V_s - V_o)/(1 - p_ret/p), whatever it held") {
    // What leaves the chamber fills the line: oil V_s + V_o - V_gas p_ret/p, then gas V_gas; other gas is gone.
    for (const double line_m : {8.0, 10.0})
      for (const bool cylinder_dry : {false, true}) {
        CAPTURE(line_m);
        CAPTURE(cylinder_dry);
        BleedBench b(bleed_rig(line_m), {}, cylinder_dry);
        const double air_per_m3 = b.gas_kg_of_m3(1, p0_pa_abs);
        Queue& q = b.c.line[b.place("left.cap_line")].queue;
        q.count = 1;
        q[0] = {0, b.net.places[b.place("left.cap_line")].volume_m3 * air_per_m3, 0, true};
        if (cylinder_dry)
          b.c.masses[b.place("left.cap_chamber")] = {0, (b.clearance_m3() + b.stroke_m3()) * air_per_m3, 0, 0, 0};
        const double first = b.gas_m3(b.gas_kg(), p0_pa_abs);
        double p = 0;
        for (int cycle = 0; cycle < 15; ++cycle) {
          b.extend();
          p = b.pressure("left.cap_chamber");
          b.retract();
          b.rest(200);
        }
        const double p_ret = b.pressure("left.cap_chamber"), left = b.gas_m3(b.gas_kg(), p_ret);
        const double closed = (b.line_m3() - b.stroke_m3() - b.decompressed_m3(p)) / (1 - p_ret / p);
        CHECK(first > 1.5 * closed);
        CHECK(near(left, closed, 1e-3, 0));
      }
  }

  TEST_CASE("limit: less gas than that stays as it is") {
    BleedBench b(bleed_rig(10), {}, true);
    b.add_gas("left.cap_chamber", 20e-6, false);
    const double first = b.gas_kg();
    for (int cycle = 0; cycle < 4; ++cycle) {
      b.retract();
      b.rest(200);
      CHECK(b.c.ledger.air_vented_kg == 0.0);
      b.extend();
    }
    CHECK(near(b.gas_kg(), first, 1e-13, 0));
  }

  TEST_CASE("limit: a port at the bottom keeps all gas up to clearance and line, at every length of line") {
    for (const double line_m : {1.0, 4.0, 9.0})
      for (const double share : {0.1, 0.95}) {   // of what clearance and line hold
        CAPTURE(line_m);
        CAPTURE(share);
        Rig r = bleed_rig(line_m);
        r.branches[0].cylinder.attitude = Attitude::rod_up;
        BleedBench b(r, {}, true);
        b.add_gas("left.cap_chamber", share * (b.clearance_m3() + std::min(b.line_m3(), 0.8 * b.stroke_m3())), false);
        const double first = b.gas_kg();
        for (int cycle = 0; cycle < 4; ++cycle) {
          b.retract();
          b.rest(200);
          b.extend();
        }
        CHECK(b.c.ledger.air_vented_kg <= 1e-9 * first);
        CHECK(near(b.gas_kg("left.cap_chamber"), first, 1e-9, 0));
      }
  }

  TEST_CASE("limit: run says never for gas above a port at the bottom, be the line short or long") {
    for (const double line_m : {1.0, 4.0, 9.0}) {
      CAPTURE(line_m);
      Rig r = bleed_pair_rig(line_m);
      for (Branch& b : r.branches) b.cylinder.attitude = Attitude::rod_up;
      Contents c = bled(r);
      const Network n = make_network(r, {0, 1});
      Masses& m = c.masses[static_cast<std::size_t>(n.place("left.cap_chamber"))];
      m.pocket_kg = 1e-6 * p0_pa_abs / n.gas_j_per_kg;   // 1 mL of the clearance's 1.5 mL
      m.oil_kg -= 1e-6 * n.rho0_kg_per_m3;
      c.recipe.valid = false;
      Procedure p;
      p.steps = {{.bypass_open = true, .strokes = 1, .dwell_s = 20, .rods = Rods::panel, .repeat = true}};
      RunOptions options;
      options.record = false;
      options.tolerance_m = 2e-4;
      const Run run_ = run(r, c, p, options);
      REQUIRE(run_.status.ok());
      CHECK(run_.bled.answered == Answered::never);
      CHECK(run_.strokes.back().vented_m3 == 0.0);
      CHECK(run_.strokes.size() > 2);
    }
  }

  TEST_CASE("limit: a port at the bottom keeps clearance and line full of gas if there was more") {
    for (const double line_m : {1.0, 3.0}) {
      CAPTURE(line_m);
      Rig r = bleed_rig(line_m);
      r.branches[0].cylinder.attitude = Attitude::rod_up;
      BleedBench b(r, {}, true);
      b.add_gas("left.cap_chamber", b.clearance_m3() + 0.9 * b.stroke_m3(), false);
      for (int cycle = 0; cycle < 8; ++cycle) {
        b.retract();
        b.rest(200);
        b.extend();
      }
      b.retract();
      b.rest(200);
      CHECK(near(b.gas_m3(b.gas_kg(), b.pressure("left.cap_chamber")), b.clearance_m3() + b.line_m3(), 5e-3, 0));
    }
  }

  TEST_CASE("limit: a port h under the roof costs between h (1 - p_rest/p) and h (p_ret/p_rest)(1 - p_rest/p) for ever") {
    for (const double h_m : {1e-3, 3e-3, 5e-3})
      for (const double supply_v : {2.0, 8.0}) {   // slow and fast return
        CAPTURE(h_m);
        CAPTURE(supply_v);
        Rig r = bleed_rig(2);
        r.pump.supply_v = supply_v;
        r.branches[0].cylinder.cap_clearance_m3 = 5e-6;
        r.branches[0].cylinder.cap_port_m = h_m;
        BleedBench b(r, {}, true);
        BleedBench probe(r, {}, true);
        probe.retract();
        // A little more than stays: a long slug in the line would ease the return, and with it p_ret.
        const double stays_m3 = h_m * b.stroke_m3() / b.net.axes[0].travel_m * probe.pressure("left.cap_chamber") / p0_pa_abs;
        b.add_gas("left.cap_chamber", 1.1 * stays_m3, false);
        double lag = 0, last = 0, closed = 0, p_rest_of_last = 0, p_of_last = 0;
        for (int cycle = 0; cycle < 6; ++cycle) {
          b.retract();
          const double p_ret = b.pressure("left.cap_chamber");
          b.rest(60);
          const double p_rest = b.pressure("left.cap_chamber");
          b.extend();
          const double p = b.pressure("left.cap_chamber"), area = b.stroke_m3() / b.net.axes[0].travel_m;
          last = lag;
          lag = b.gas_m3(b.gas_kg(), p_rest) * (1 - p_rest / p) / area;
          closed = h_m * p_ret / p_rest * (1 - p_rest / p);
          p_rest_of_last = p_rest;
          p_of_last = p;
        }
        // h A stays at the lowest pressure of the return, while gas in the line eases it: between rest and the end.
        // The law itself, where both are one pressure: limits/port_roof.
        CHECK(lag <= 1.005 * closed);
        CHECK(lag >= 0.995 * h_m * (1 - p_rest_of_last / p_of_last));
        // For ever, but for the gas of the one quantum in which the pocket first reaches the port: it comes as bubbles.
        CHECK(near(lag, last, 2e-3, 0));
      }
  }
}
