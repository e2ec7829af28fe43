// Bubbles that ride on the laminar profile of a line u/U = 2 (1 - r^2/R^2), nothing else moving them. theta = V/V_l:
// the volume that has passed over what the line holds. Closed forms: the profile's own integrals (Levenspiel 1999 for
// the one-way wash-out; the stroke is its integral over theta, own derivation).
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "support/line_air.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

constexpr int tubes = 384;   // graded by 1.5 %: the cut through the fastest of them is what limits theta near 1/2

/// Bubbles so small that none rises or creams in the time of a test; what returns is lost in a large reservoir.
Rig fine_bubbles(Rig r) {
  r.air.fine_m = 1e-7;
  r.air.saturation = 0;
  r.reservoir.oil_m3 = 0.9;
  r.reservoir.capacity_m3 = 1;
  return r;
}
double reached_reservoir_kg(const Contents& c) { return c.ledger.air_vented_kg + c.reservoir.fine_kg; }

double stroke_area_m2() { return cap_area_m2(bleed_rig(1).branches[0].cylinder); }
Rig rig_for(double theta) {
  return fine_bubbles(bleed_rig(length_for(0.1 * stroke_area_m2() / theta)));
}

}  // namespace

TEST_SUITE("limits/laminar_stroke") {
  TEST_CASE("limit: a return brings V_l (2 theta - 1)^2/(4 theta) out; the chamber keeps 1 - that/(V_c + V_s)") {
    for (const double theta : {0.6, 0.75, 1.0, 1.5, 2.0, 4.0}) {
      CAPTURE(theta);
      BleedBench b(rig_for(theta), {.streamtubes = tubes}, true);
      b.add_gas("left.cap_chamber", 2e-8, true);
      const KeptBooks books(b.c);
      for (int cycle = 0; cycle < 2; ++cycle) {
        CAPTURE(cycle);
        const double before = b.gas_kg("left.cap_chamber"), gone = reached_reservoir_kg(b.c);
        const double swept = b.stroke_m3() + b.decompressed_m3(b.pressure("left.cap_chamber")), t = swept / b.line_m3();
        const double out = b.line_m3() * (2 * t - 1) * (2 * t - 1) / (4 * t) / (b.clearance_m3() + swept);
        b.retract();
        b.rest();
        CHECK(near((reached_reservoir_kg(b.c) - gone) / before, out, 5e-3, 0));
        b.extend();
        CHECK(near(b.gas_kg("left.cap_chamber") / before, 1 - out, 2e-3, 0));
        books.check(b.c);
        MESSAGE("theta " << t << " came out, off by " << (reached_reservoir_kg(b.c) - gone) / before / out - 1);
      }
    }
  }

  TEST_CASE("limit: V_c 2 mL, V_s 20.1 mL, V_l 25.1 mL: r = 0.872, and 31.2 % of the line's own bubbles stay") {
    // 1 - 25.1 x 0.6016^2/(4 x 0.8008 x 22.1) = 0.8717; 1/(4 x 0.8008) = 0.3122
    Rig r = rig_for(1);
    Branch& branch = r.branches[0];
    branch.cylinder.stroke_m = 20.1e-6 / stroke_area_m2();
    branch.cylinder.cap_clearance_m3 = 2e-6;
    branch.cap_line.length_m = length_for(25.1e-6);
    r.panel.mass_kg = 0;
    BleedBench b(r, {.streamtubes = tubes}, true);
    b.add_gas("left.cap_chamber", 2e-8, true);
    const double before = b.gas_kg();
    b.retract();
    b.rest();
    b.extend();
    CHECK(near(b.gas_kg("left.cap_chamber") / before, 0.8717, 1e-3, 0));
    BleedBench line(r, {.streamtubes = tubes}, true);
    lay_bubbles(line.net, line.c, "left.cap_line", fine, 0, 1, 2e-8, make_streamtubes(tubes));
    const double held = line.gas_kg();
    for (int cycle = 0; cycle < 3; ++cycle) {
      line.retract();
      line.rest();
      line.extend();
    }
    CHECK(near(line.gas_kg("left.cap_line") / held, 0.3122, 5e-3, 0));
  }

  TEST_CASE("limit: below theta = 1/2 nothing of the chamber ever reaches the reservoir") {
    BleedBench b(rig_for(0.49), {.streamtubes = tubes}, true);
    b.add_gas("left.cap_chamber", 2e-8, true);
    const double before = b.gas_kg("left.cap_chamber");
    for (int cycle = 0; cycle < 5; ++cycle) {
      b.retract();
      b.rest();
      b.extend();
      CHECK(near(b.gas_kg("left.cap_chamber"), before, 1e-3, 0));   // under a nanogram in a line counts as dissolved
    }
    CHECK(reached_reservoir_kg(b.c) < 1e-12);   // of 2e-8 kg: the same nanogram
  }

  TEST_CASE("limit: of a line's own bubbles 1/(4 theta) stays for ever, 1 - theta below theta = 1/2") {
    for (const double theta : {0.3, 0.45, 0.8, 1.5, 3.0}) {
      CAPTURE(theta);
      BleedBench b(rig_for(theta), {.streamtubes = tubes}, true);
      lay_bubbles(b.net, b.c, "left.cap_line", fine, 0, 1, 2e-8, make_streamtubes(tubes));
      const KeptBooks books(b.c);
      const double held = b.gas_kg(), line = b.line_m3();
      double first = 0, largest = 0;
      for (int cycle = 0; cycle < 4; ++cycle) {
        const double t = (b.stroke_m3() + b.decompressed_m3(b.pressure("left.cap_chamber"))) / line;
        largest = std::max(largest, t);
        b.retract();
        b.rest();
        b.extend();
        if (cycle == 1) first = b.gas_kg("left.cap_line");   // the first return is shorter by V_o
      }
      CHECK(near(b.gas_kg("left.cap_line") / held, laminar_inventory(largest), 5e-3, 0));
      CHECK(near(laminar_inventory(largest), largest < 0.5 ? 1 - largest : 1 / (4 * largest), 1e-12, 0));
      CHECK(near(b.gas_kg("left.cap_line"), first, 2e-3, 0));
      CHECK(b.gas_kg("left.cap_chamber") < 1e-3 * held);
      books.check(b.c);
      MESSAGE("theta " << largest << " stuck off by "
                       << b.gas_kg("left.cap_line") / held / laminar_inventory(largest) - 1 << ", two cycles on by "
                       << b.gas_kg("left.cap_line") / first - 1);
    }
  }
}
