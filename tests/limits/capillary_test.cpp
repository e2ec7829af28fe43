// The surface of the oil in an end open to the air: how high a column it holds, and what it costs one that runs.
#include <doctest/doctest.h>

#include <cmath>

#include "support/hanging.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

constexpr Drive open_above{.retract = true};   // the way to the reservoir
constexpr double above_block_m = 0.2;          // of the reservoir, above the valve block
double held_m(double bore_m, double sigma = 0.030) {
  const Rig r = hanging(bore_m, 1, 0);
  return 4 * sigma / (density(r.oil, r.oil.temperature_k) * gravity_m_per_s2 * bore_m);
}
/// Its reservoir so wide that its level stays.
Rig wide(double bore_m, double length_m, double end_m, double sigma = 0.030) {
  Rig r = hanging(bore_m, length_m, end_m);
  r.reservoir.area_m2 = 10;
  r.reservoir.oil_m3 = above_block_m * r.reservoir.area_m2;
  r.reservoir.capacity_m3 = 2 * r.reservoir.oil_m3;
  r.air.surface_tension_n_per_m = sigma;
  return r;
}
/// Columns shrink as they begin to hang and draw a trace of air; its own squeeze shows when the next quantum begins.
void settle(Hanging& h) {
  for (int i = 0; i < 10; ++i) h.stand(open_above, 10);
}

}  // namespace

TEST_SUITE("limits/capillary") {
  TEST_CASE("limit: oil up to 4 sigma/(rho g d) above an open mouth hangs though open above: not a drop in a day") {
    for (const double bore_m : {1e-3, 2e-3, 3e-3}) {
      CAPTURE(bore_m);
      const double most_m = held_m(bore_m);
      Hanging under(wide(bore_m, 0.5, above_block_m - 0.98 * most_m));
      Hanging over(wide(bore_m, 0.5, above_block_m - 1.02 * most_m));
      for (Hanging* h : {&under, &over}) settle(*h);
      const double first_kg = under.c.ledger.air_ingested_kg, first_over = over.spilled_m3(), from_s = over.c.time_s;
      for (Hanging* h : {&under, &over}) h->stand(open_above, 86400);
      CHECK(under.spilled_m3() == 0.0);
      CHECK(under.c.ledger.air_ingested_kg == first_kg);
      CHECK(first_kg < 1e-12);
      const double q = (over.spilled_m3() - first_over) / (over.c.time_s - from_s);
      CHECK(q > 0);
      CHECK(near(q, over.poiseuille_m3_per_s(0.02 * over.capillary_pa(), 0.5), 5e-2, 0));   // of a difference of 2 %
      MESSAGE("bore " << bore_m << ": holds " << most_m << " m; 2 % more lets out " << q * 1e6 * 86400 << " mL a day");
    }
  }

  TEST_CASE("limit: a mouth that looks up holds a column as high above the level: not a bubble in a day") {
    for (const double bore_m : {1e-3, 2e-3, 4e-3}) {
      CAPTURE(bore_m);
      const double most_m = held_m(bore_m);
      Hanging under(wide(bore_m, 0.5, above_block_m + 0.98 * most_m));
      Hanging over(wide(bore_m, 0.5, above_block_m + 1.02 * most_m));
      settle(under);
      const double first_kg = under.c.ledger.air_ingested_kg;
      under.stand(open_above, 86400);
      for (int i = 0; i < 300; ++i) over.stand(open_above, 10e-6 / (bore_m * bore_m));   // heads are those of its start
      CHECK(under.c.ledger.air_ingested_kg == first_kg);
      CHECK(first_kg < 1e-12);
      CHECK(under.spilled_m3() == 0.0);
      const double sank_m = 0.02 * most_m, area = volume_m3(over.line()) / over.line().length_m;
      const double steep = (most_m * 1.02 + above_block_m) / 0.5;                   // rise of the run per length
      CHECK(near(over.oil_m3(), volume_m3(over.line()) - sank_m / steep * area, 1e-5, 0));
    }
  }

  TEST_CASE("limit: beyond it runs by rho g L - 4 sigma/d, from 1.5 times the height to a hundred times") {
    for (const double bore_m : {1e-3, 2e-3, 3e-3})
      for (const double times : {1.5, 2.0, 5.0, 100.0}) {
        CAPTURE(bore_m);
        CAPTURE(times);
        Hanging h(wide(bore_m, 4, above_block_m - times * held_m(bore_m)));
        h.stand(open_above, 10);
        const double from_s = h.c.time_s, from_m3 = h.spilled_m3();
        h.stand(open_above, 100);
        const double q = (h.spilled_m3() - from_m3) / (h.c.time_s - from_s);
        const double closed = h.poiseuille_m3_per_s((times - 1) * h.capillary_pa(), 4);
        CHECK(near(q, closed, 5e-3, 0));
        MESSAGE("bore " << bore_m << ", " << times << " times: off by " << q / closed - 1);
      }
  }

  TEST_CASE("limit: in a line open above oil stands 4 sigma/(rho g d) above the level, come from above or from below") {
    for (const double bore_m : {1e-3, 2e-3, 4e-3})
      for (const double from_m : {-0.05, 0.05}) {
        CAPTURE(bore_m);
        CAPTURE(from_m);
        Hanging h(wide(bore_m, 0.4, 0.4));
        h.fill_to((above_block_m + from_m) / 0.4);
        for (int i = 0; i < 400; ++i) h.stand(open_above, 2e-6 / (bore_m * bore_m));
        const double stands_m = h.oil_m3() / volume_m3(h.line()) * 0.4 - h.level_m();
        CHECK(near(stands_m, held_m(bore_m), 5e-3, 0));
        CHECK(h.spilled_m3() == 0.0);
        MESSAGE("bore " << bore_m << " stands " << stands_m << " m, off by " << stands_m / held_m(bore_m) - 1);
      }
  }

  TEST_CASE("limit: a mouth that looks down and lets air creep in loses what that displaces; the siphon breaks") {
    Rig r = wide(4e-3, 0.5, 0);
    r.reservoir.oil_m3 = 2e-3 * r.reservoir.area_m2;
    r.branches[0].cylinder.height_m = -1e-3;       // over a rise of 0.25 m and down to 3 mm below the level
    r.branches[0].cap_line.peak_m = 0.25;
    r.branches[0].cap_line.peak_share = 0.5;
    Hanging h(r);
    const double area = volume_m3(h.line()) / h.line().length_m;
    CHECK(3e-3 < held_m(4e-3));
    for (int i = 0; i < 400; ++i) h.stand(open_above, 1);
    const double holds_m = 3e-3 + held_m(4e-3);      // air creeps so far up before the column draws it in
    CHECK(h.spilled_m3() > holds_m * area);
    CHECK(h.spilled_m3() < 2 * holds_m * area);      // drawn in slowly at first, it goes on creeping
    CHECK(h.oil_m3() < 0.5 * volume_m3(h.line()));
    MESSAGE("lost " << h.spilled_m3() / area << " m, holds " << holds_m << " m; left in the line "
                    << h.oil_m3() / volume_m3(h.line()));
  }

  TEST_CASE("limit: as the surface tension goes to nothing so does what it holds") {
    for (const double sigma : {0.03, 3e-3, 3e-5, 3e-9}) {
      CAPTURE(sigma);
      Hanging h(wide(2e-3, 0.4, 0.4, sigma));
      for (int i = 0; i < 400; ++i) h.stand(open_above, 0.5);
      CHECK(near(h.oil_m3() / volume_m3(h.line()) * 0.4 - h.level_m(), held_m(2e-3, sigma), 5e-3, 1e-6));
    }
  }
}
