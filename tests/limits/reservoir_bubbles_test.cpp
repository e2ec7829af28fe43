// Bubbles in the reservoir. Flowing: min(1, U A/Q) of what arrives is removed (Hazen 1904, from memory), the rest is
// drawn in again. Still: a clear front rises with the bubbles, 1 - U t/h is left.
#include <doctest/doctest.h>

#include <cmath>

#include "support/bench.hpp"
#include "support/bubble_laws.hpp"
#include "support/line_air.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

TEST_SUITE("limits/reservoir_bubbles") {
  TEST_CASE("limit: a still reservoir of depth h keeps 1 - U t/h of its bubbles, none after h/U") {
    for (const double d_m : {0.1e-3, 0.2e-3, 0.5e-3}) {
      CAPTURE(d_m);
      Rig r = bench_rig(1, SynchroniserKind::tee, 6e-6);
      r.air.fine_m = d_m;
      Bench b(r);
      const double gas_kg = 1e-6 * p0_pa_abs / b.net.gas_j_per_kg, h = 20e-3 / r.reservoir.area_m2;
      const double u = single_rise_m_per_s(d_m, b.net.mu_pa_s, b.net.rho0_kg_per_m3), all_s = h / u;
      Contents c = b.c;
      c.reservoir.fine_kg = gas_kg;
      b.take(c);
      for (const double share : {0.25, 0.5, 0.9}) {
        b.drive({}, share * all_s - b.c.time_s);
        CHECK(near(b.c.reservoir.fine_kg / gas_kg, 1 - share, 0, 1e-3));
        CHECK(near((b.c.ledger.air_vented_kg + b.c.reservoir.foam_kg) / gas_kg, share, 0, 1e-3));
        MESSAGE("d " << d_m << " U " << u << " left " << b.c.reservoir.fine_kg / gas_kg << " at " << share << " h/U");
      }
      b.drive({}, 1.001 * all_s - b.c.time_s);
      CHECK(b.c.reservoir.fine_kg == 0.0);
    }
  }

  TEST_CASE("limit: of bubbles that return with Q, min(1, U A/Q) is removed; the rest floats or is drawn in again") {
    for (const double wanted : {0.1, 0.4, 0.8, 1.5}) {   // U A/Q
      CAPTURE(wanted);
      Rig r = bleed_rig(0.02);                            // a line of 0.25 mL: what is in it hardly counts
      r.air.saturation = 0;
      r.air.fine_m = 0.01e-3;
      r.reservoir.oil_m3 = 0.5e-3;
      BleedBench probe(r, {.quantum_share = 0.5, .streamtubes = 1}, true);
      probe.retract();
      const double q_return = probe.stroke_m3() / probe.c.time_s;
      const double u = single_rise_m_per_s(0.01e-3, probe.net.mu_pa_s, probe.net.rho0_kg_per_m3);
      r.reservoir.area_m2 = wanted * q_return / u;
      BleedBench b(r, {.quantum_share = 0.5, .streamtubes = 1}, true);
      b.add_gas("left.cap_chamber", 2e-7, true);
      const double gas_kg = b.gas_kg();
      const KeptBooks books(b.c);
      b.retract();
      const double arrived = gas_kg - b.gas_kg(), removed = std::min(1.0, wanted);
      REQUIRE(arrived > 0.9 * gas_kg);
      CHECK(near(b.c.ledger.air_vented_kg, removed * arrived, 5e-3, 0));
      // The pump draws Q_p out of a volume V that grows at Q - Q_p. From when the line's clear oil has come in:
      // m' = (1 - eta) C Q - Q_p m/V, so m = (1 - eta) C [V - V0 (V0/V)^n], n = Q_p/(Q - Q_p)
      const Cylinder& cyl = r.branches[0].cylinder;
      const double n = rod_area_m2(cyl) / (cap_area_m2(cyl) - rod_area_m2(cyl)), grows = 1 / (1 + n);
      const double v0 = 0.5e-3 + grows * b.line_m3(), v = 0.5e-3 + grows * b.stroke_m3();
      const double conc = (1 - removed) * gas_kg / (b.clearance_m3() + b.stroke_m3());
      const double suspended = conc * (v - v0 * std::pow(v0 / v, n));
      CHECK(near(b.c.reservoir.fine_kg, suspended, 5e-3, 1e-9 * gas_kg));
      double again = 0;
      for (const char* place : {"left.rod_chamber", "left.rod_line", "valve_block.p", "valve_block.b"})
        again += b.gas_kg(place);
      CHECK(near(again, (1 - removed) * arrived - suspended, 5e-3, 3e-4 * gas_kg));
      books.check(b.c);
      MESSAGE("U A/Q " << wanted << " removed off by " << b.c.ledger.air_vented_kg / (removed * arrived) - 1
                       << ", floats " << b.c.reservoir.fine_kg / gas_kg << ", drawn in again " << again / gas_kg);
      const double depth = v / r.reservoir.area_m2;
      if (wanted > 1) continue;
      const double before = b.c.reservoir.fine_kg;        // dwell: the valve stays open, nothing flows
      b.rest(1e-3);
      const double from_s = b.c.time_s;
      b.rest(0.5 * depth / u);
      CHECK(near(b.c.reservoir.fine_kg / before, 1 - u * (b.c.time_s - from_s) / depth, 0, 5e-3));
      MESSAGE("dwell leaves " << b.c.reservoir.fine_kg / before);
    }
  }
}
