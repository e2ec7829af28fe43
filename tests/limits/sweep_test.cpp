// How far a stroke sweeps: a line that holds more than the stroke volume never clears, on either side; a passage that
// is stirred clears by exponentials.
#include <doctest/doctest.h>

#include <cmath>

#include "support/bleed_bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

/// Bore 20 mm, rod 12 mm, stroke 250 mm, both lines of 5 mm bore: they hold a stroke at 4.0 m and 2.56 m.
Rig platform_rig(double cap_line_m, double rod_line_m) {
  Rig r = bleed_rig(1);
  Branch& b = r.branches[0];
  b.cylinder.bore_m = 20e-3;
  b.cylinder.rod_m = 12e-3;
  b.cylinder.stroke_m = 0.25;
  b.cylinder.cap_clearance_m3 = b.cylinder.rod_clearance_m3 = 1e-7;
  b.cap_line.bore_m = b.rod_line.bore_m = 5e-3;
  b.cap_line.length_m = cap_line_m;
  b.rod_line.length_m = rod_line_m;
  return r;
}

/// Share of a trace of fine bubbles, laid into one chamber, that is still in the circuit after three cycles.
double kept(const Rig& r, const char* chamber, bool rods_out) {
  BleedBench b(r, {.streamtubes = 1}, rods_out);
  b.add_gas(chamber, 1e-9, true);
  const double before = total(b.c).gas_kg();
  for (int i = 0; i < 3; ++i) b.sweep(rods_out);
  return total(b.c).gas_kg() / before;
}

}  // namespace

TEST_SUITE("limits/sweep") {
  TEST_CASE("limit: in plug flow a line longer than A S/A_line never clears, cap side 4.0 m, rod side 2.56 m") {
    const Rig rig = platform_rig(1, 1);
    const Branch& b = rig.branches[0];
    const double line = area_m2(b.cap_line), s = b.cylinder.stroke_m;
    const double cap_m = cap_area_m2(b.cylinder) * s / line, rod_m = rod_area_m2(b.cylinder) * s / line;
    CHECK(near(cap_m, 4.0, 1e-9, 0));
    CHECK(near(rod_m, 2.56, 1e-9, 0));
    for (const double share : {0.97, 1.03}) {
      CAPTURE(share);
      const double cap = kept(platform_rig(share * cap_m, 0.5), "left.cap_chamber", true);
      const double rod = kept(platform_rig(0.5, share * rod_m), "left.rod_chamber", false);
      MESSAGE("cap side keeps " << cap << ", rod side " << rod);
      if (share > 1) {
        CHECK(near(cap, 1, 1e-9, 0));
        CHECK(near(rod, 1, 1e-9, 0));
      } else {   // three per cent of the stroke and what stood in the clearance gets out, each time
        CHECK(cap < 0.95);
        CHECK(rod < 0.95);
      }
    }
  }

  TEST_CASE("limit: through a stirred passage V_d on the way a trace leaves by its own exponentials") {
    // s = V_s/V_d. In comes clean oil: what the passage held goes to the chamber but for e^-s; back it comes into it:
    //   chamber g, passage d [kg]  extend: g += d (1 - e^-s), d *= e^-s  return: d' = d e^-s + g (1 - e^-s)/s, g = 0
    for (const double s : {1.0, 2.5}) {
      CAPTURE(s);
      Rig r = bleed_rig(0.01);
      const double stroke = cap_area_m2(r.branches[0].cylinder) * r.branches[0].cylinder.stroke_m;
      r.branches[0].cap_line.bore_m = 2e-3;   // 31 mm3
      r.air.fine_m = 6e-6;   // large enough to stay in the reservoir, U A > Q, small enough not to rise in the chamber
      r.branches[0].cylinder.cap_clearance_m3 = 1e-8;
      r.valve_block.passage_m3 = stroke / s;
      BleedBench b(r, {.quantum_share = 0.2, .streamtubes = 1}, true);
      b.add_gas("left.cap_chamber", 1e-7, true);
      double g = b.gas_kg("left.cap_chamber"), d = 0;
      for (int cycle = 0; cycle < 3; ++cycle) {
        CAPTURE(cycle);
        b.retract();
        b.rest();
        d = d * std::exp(-s) + g * -std::expm1(-s) / s;
        CHECK(near(b.gas_kg("valve_block.a"), d, 2e-3, 0));
        MESSAGE("passage off by " << b.gas_kg("valve_block.a") / d - 1);
        b.extend();
        g = d * -std::expm1(-s);
        d *= std::exp(-s);
        CHECK(near(b.gas_kg("left.cap_chamber"), g, 2e-3, 0));
        MESSAGE("chamber off by " << b.gas_kg("left.cap_chamber") / g - 1);
      }
    }
  }
}
