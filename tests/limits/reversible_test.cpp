// What a line has done it undoes: without slip, rise, creaming and mixing, the same volume back puts everything where
// it was, in plug flow and in laminar flow. That is why a line longer than the stroke never gives up its air.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "support/line_air.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

/// A line that holds 1/0.3 of the stroke, the fastest oil goes through six tenths of it.
Rig long_line() {
  Rig r = bleed_rig(1);
  r.branches[0].cap_line.length_m = length_for(0.1 * cap_area_m2(r.branches[0].cylinder) / 0.3);
  r.air.fine_m = 1e-7;
  r.oil.modulus_40_pa = 1e12;   // what is compressed one way only comes back displaced
  r.panel.mass_kg = 0;
  return r;
}

/// Mass, middle and spread of what each tube holds.
std::vector<double> picture(const Swarm& s) {
  std::vector<double> all;
  for (std::size_t k = 0; k < s.count.size(); ++k) {
    double kg = 0, middle = 0, spread = 0;
    for (int i = 0; i < s.count[k]; ++i) {
      const Cloud& c = s.cloud[k * Swarm::capacity + static_cast<std::size_t>(i)];
      kg += c.kg;
      middle += c.kg * (c.from + c.to) / 2;
      spread += c.kg * (c.from * c.from + c.from * c.to + c.to * c.to) / 3;
    }
    if (kg > 0) all.insert(all.end(), {kg, middle / kg, std::sqrt(spread / kg - middle / kg * middle / kg)});
  }
  return all;
}

}  // namespace

TEST_SUITE("limits/reversible") {
  TEST_CASE("law: a return and an extension of one volume bring every parcel and slug of a line back to its place") {
    Rig r = long_line();
    r.air.slug_slip = 0;
    BleedBench b(r, {.streamtubes = 1}, true);
    Queue& q = b.c.line[b.place("left.cap_line")].queue;
    const Parcel oil = q[0];
    const double slug_kg = b.gas_kg_of_m3(0.2e-6, p0_pa_abs), slug_oil_kg = 0.2e-6 * b.net.rho0_kg_per_m3;
    const auto stretch = [&](double share, double more) {
      return Parcel{share * oil.oil_kg, 0, share * more * oil.dissolved_kg, false};
    };
    q.count = 5;
    q[0] = stretch(0.5, 1);
    q[1] = stretch(0.2, 0.5);      // less air in it
    q[2] = stretch(0.1, 0.8);
    q[3] = {0, slug_kg, 0, true};
    q[4] = stretch(0.2, 0.9);
    q[4].oil_kg -= slug_oil_kg;
    b.c.recipe.valid = false;
    const KeptBooks books(b.c);
    b.cycle();
    b.retract();
    b.rest();
    const Queue before = q;
    for (int cycle = 0; cycle < 3; ++cycle) {
      b.extend();
      b.retract();
      b.rest();
    }
    REQUIRE(q.count == before.count);
    double worst = 0;
    for (int i = 1; i < q.count; ++i) {
      CAPTURE(i);
      CHECK(q[i].slug == before[i].slug);
      worst = std::max(worst, std::abs(q[i].oil_kg - before[i].oil_kg) / oil.oil_kg);
      CHECK(near(q[i].gas_kg, before[i].gas_kg, 1e-13, 0));
      if (q[i].oil_kg > 0)
        CHECK(near(q[i].dissolved_kg / q[i].oil_kg, before[i].dissolved_kg / before[i].oil_kg, 1e-7, 0));
    }
    CHECK(worst < 1e-6);
    books.check(b.c);
    MESSAGE("largest shift after three strokes " << worst << " of the line");
  }

  TEST_CASE("law: so does a laminar line with the bubbles of every streamtube, however far drawn apart") {
    BleedBench b(long_line(), {.streamtubes = 12}, true);
    const Streamtubes tubes = make_streamtubes(12);
    lay_bubbles(b.net, b.c, "left.cap_line", fine, 0.7, 0.75, 1e-9, tubes);
    lay_bubbles(b.net, b.c, "left.cap_line", fine, 0.85, 0.95, 1e-9, tubes);
    const KeptBooks books(b.c);
    const auto bubbles = [&] { return picture(b.c.line[b.place("left.cap_line")].bubbles[fine]); };
    const std::vector<double> before = bubbles();
    double worst = 0, moved = 0;
    for (int cycle = 0; cycle < 3; ++cycle) {
      b.retract();
      b.rest();
      const std::vector<double> away = bubbles();
      b.extend();
      b.rest();
      const std::vector<double> after = bubbles();
      REQUIRE(after.size() == before.size());
      REQUIRE(before.size() == 3 * tubes.share.size());
      for (std::size_t i = 0; i < before.size(); i += 3) {
        CHECK(near(after[i], before[i], 2e-3, 0));   // the wall's tube gains 3e-4 a cycle of what creams
        for (const std::size_t j : {i + 1, i + 2}) worst = std::max(worst, std::abs(after[j] - before[j]));
        moved = std::max(moved, std::abs(away[i + 1] - before[i + 1]));
      }
    }
    CHECK(near(held(b.c, b.net.place("left.cap_line")).fine_kg, 2 * b.gas_kg_of_m3(1e-9, p0_pa_abs), 1e-12, 0));
    CHECK(moved > 0.45);
    CHECK(worst < 1e-3);   // of the line, mostly what has creamed
    books.check(b.c);
    MESSAGE("moved by up to " << moved << " of the line, back to within " << worst);
  }
}
