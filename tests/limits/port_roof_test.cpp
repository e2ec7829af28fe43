// Gas that a port cannot reach, and what gas under a known pressure costs at the start of a stroke.
#include <doctest/doctest.h>

#include <cmath>

#include "support/bench.hpp"
#include "support/line_air.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

Rig level_rig(double port_m) {
  Rig r = bleed_rig(2);
  r.air.saturation = 0;
  Cylinder& c = r.branches[0].cylinder;
  c.bore_m = 25e-3;
  c.rod_m = 15e-3;
  c.stroke_m = 0.15;
  c.cap_clearance_m3 = 6e-3 * cap_area_m2(c);   // 6 mm of dead length, 2.945 mL
  c.attitude = Attitude::level;
  c.cap_port_m = port_m;
  return r;
}

}  // namespace

TEST_SUITE("limits/port_roof") {
  // 25 mm bore, 6 mm of dead length, 2.945 mL: 0, 1.47 or 2.95 mL with the port on top, half way, at the bottom.
  TEST_CASE("limit: a level cylinder keeps the part of its clearance above the port, at return pressure, for ever") {
    for (const auto& [port_m, kept_ml] : {std::pair{0.0, 0.0}, {12.5e-3, 1.47}, {25e-3, 2.95}}) {
      const auto shown_port_m = port_m;   // clang 14 captures no structured binding
      CAPTURE(shown_port_m);
      BleedBench b(level_rig(port_m), {.streamtubes = 1}, true);
      b.add_gas("left.cap_chamber", 30e-6, false);
      const KeptBooks books(b.c);
      double kept_m3 = 0, last_m3 = 0;
      for (int cycle = 0; cycle < 6; ++cycle) {
        b.retract();
        last_m3 = kept_m3;
        kept_m3 = b.gas_m3(b.gas_kg("left.cap_chamber"), b.pressure("left.cap_chamber"));
        b.rest(60);
        b.extend();
      }
      CHECK(near(kept_m3, b.clearance_m3() * port_m / 25e-3, 5e-3, 1e-18));   // half a circle at half its height
      CHECK(near(kept_m3, kept_ml * 1e-6, 5e-3, 1e-18));
      CHECK(near(kept_m3, last_m3, 1e-6, 1e-18));
      books.check(b.c);
      MESSAGE("port " << port_m << " keeps " << kept_m3 * 1e6 << " mL");
    }
  }

  TEST_CASE("limit: a pocket at a port on top is gone in one return when the stroke holds more than the line") {
    for (const double line_m : {0.5, 2.0, 5.5})
      for (const double gas_m3 : {1e-9, 1e-6, 10e-6}) {
        CAPTURE(line_m);
        CAPTURE(gas_m3);
        Rig r = bleed_rig(line_m);
        r.air.saturation = 0;
        BleedBench b(r, {.streamtubes = 1}, true);
        REQUIRE(b.stroke_m3() > b.line_m3() + gas_m3);
        b.add_gas("left.cap_chamber", gas_m3, false);
        const double gas_kg = b.gas_kg();
        const KeptBooks books(b.c);
        b.retract();
        b.rest(60);
        CHECK(b.gas_kg("left.cap_chamber") < 1e-12 * gas_kg);
        CHECK(b.gas_kg() < 1e-4 * gas_kg);             // a passage that mixes
        CHECK(near(b.c.ledger.air_vented_kg + b.c.reservoir.coarse_kg, gas_kg, 1e-4, 0));
        books.check(b.c);
      }
  }

  TEST_CASE("limit: gas above a port that lies h under the roof: exactly h A stays of it, at return pressure") {
    for (const double h_m : {1e-3, 3e-3, 5e-3}) {
      CAPTURE(h_m);
      Rig r = bleed_rig(0.5);
      r.pump.supply_v = 8;
      r.branches[0].cap_line.bore_m = 10e-3;           // wide: the return's pressure is nearly that of the rest
      r.valve_block.path_area_m2 = r.valve_block.lowering_area_m2 = 3e-4;
      r.branches[0].cylinder.cap_clearance_m3 = 6e-6;
      r.branches[0].cylinder.cap_port_m = h_m;
      r.panel.mass_kg = 50e5 * cap_area_m2(r.branches[0].cylinder) / gravity_m_per_s2;   // about 50 bar
      r.valve_block.relief_pa_gauge = 200e5;
      BleedBench b(r, {.streamtubes = 1}, true);
      const double area = b.stroke_m3() / b.net.axes[0].travel_m;
      b.add_gas("left.cap_chamber", 1.2 * h_m * area, false);   // no more: a long slug eases the return
      double p_ret = 0, p = 0, gas_kg = 0;
      for (int cycle = 0; cycle < 3; ++cycle) {
        b.retract();
        p_ret = b.pressure("left.cap_chamber");
        b.rest(60);
        gas_kg = b.gas_kg();
        b.extend();
        p = b.pressure("left.cap_chamber");
      }
      CHECK(near(b.gas_m3(gas_kg, p_ret), h_m * area, 5e-3, 0));
      const double lag_m = b.gas_m3(gas_kg, p_ret) * (1 - p_ret / p) / area;
      CHECK(near(lag_m, h_m * (1 - p_ret / p), 5e-3, 0));
      CHECK(near(lag_m, 0.98 * h_m, 5e-3, 0));         // 0.98, 2.94, 4.90 mm between 1 and 50 bar
      MESSAGE("h " << h_m << " lag " << lag_m << " between " << p_ret << " and " << p);
    }
  }

  // The reservoir stands high: the gas rests at p_ret = p0 + rho g z, and is partly squeezed before a stroke begins.
  TEST_CASE("limit: gas V0 costs V0 p0 (1/p_ret - 1/p)/A of travel, whatever the pressure p_ret it rests at") {
    for (const double z_m : {0.0, 5.0, 15.0}) {
      CAPTURE(z_m);
      constexpr double v0_m3 = 1e-6, load_pa = 28e5;
      const auto travel = [&](bool air, double* p_ret, double* p) {
        Rig r = bench_rig(2, SynchroniserKind::metering_pistons, 12e-6);
        r.reservoir.height_m = z_m;
        for (Branch& b : r.branches) {
          b.cylinder.cap_clearance_m3 = 3e-6;
          b.cap_line.bore_m = b.rod_line.bore_m = 8e-3;
        }
        r.panel.mass_kg = 2 * load_pa * cap_area_m2(r.branches[0].cylinder) / gravity_m_per_s2;
        Bench b(r, {.streamtubes = 1});
        Masses& m = b.c.masses[b.index("a.cap_chamber")];
        if (air) m.pocket_kg = v0_m3 * p0_pa_abs / b.net.gas_j_per_kg;
        b.fill();
        b.drive({.retract = true, .bypass_open = true, .on_panel = true}, 30);
        *p_ret = b.pressure("a.cap_chamber");
        double e = 0;
        const Drive up{.motor = true, .extend = true, .on_panel = true};
        b.drive(up, 60, [&](const Contents& c, const FlowEngine::Quantum&) {
          const bool half = c.position_m[1] > 0.125;
          e = c.position_m[1] - c.position_m[0];
          *p = c.pressure_pa_abs[b.index("a.cap_chamber")];
          return half;
        });
        return e;
      };
      double p_ret = 0, p = 0, q_ret = 0, q = 0;
      const double lag_m = travel(true, &p_ret, &p) - travel(false, &q_ret, &q);
      const Rig r = bench_rig(1, SynchroniserKind::tee, 12e-6);
      const double rho = density(r.oil, r.oil.temperature_k), level = z_m + 20e-3 / r.reservoir.area_m2;
      CHECK(near(p_ret, p0_pa_abs + rho * gravity_m_per_s2 * level, 1e-3, 0));
      const double area = cap_area_m2(r.branches[0].cylinder), closed = v0_m3 * p0_pa_abs * (1 / p_ret - 1 / p) / area;
      CHECK(near(lag_m, closed, 5e-3, 0));
      MESSAGE("rests at " << p_ret << ", lag off by " << lag_m / closed - 1);
    }
  }
}
