// Gas in a line that stands still, and gas at a high point: what rises, how fast, and what stays.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "evenstroke/transport/queue.hpp"
#include "support/bench.hpp"
#include "support/bubble_laws.hpp"
#include "support/laid_slug.hpp"
#include "support/line_air.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

constexpr double sigma = 0.030;

/// A line of 2 m from the valve block to a cylinder `top_m` higher; `peak_m` half way if it is not zero.
Rig upright(double bore_m, double top_m, double peak_m = 0) {
  Rig r = bench_rig(1, SynchroniserKind::tee, 6e-6);
  Branch& b = r.branches[0];
  b.cylinder.attitude = Attitude::level;
  b.cylinder.height_m = top_m;
  b.cylinder.cap_port_m = 0;
  b.cap_line.bore_m = bore_m;
  b.cap_line.length_m = b.rod_line.length_m = 2;
  b.cap_line.peak_m = peak_m;
  b.cap_line.peak_share = peak_m == 0 ? 0.0 : 0.5;
  r.air.slug_rise = 1;
  r.air.surface_tension_n_per_m = sigma;
  r.air.saturation = 0;
  return r;
}

double share_of_slug(const Bench& b) { return slug_m3(b) / b.net.places[b.index("a.cap_line")].volume_m3; }

}  // namespace

TEST_SUITE("limits/standing_line") {
  TEST_CASE("limit: a slug rises in a standing line of 8 mm at the law's speed, times the sine of its slope") {
    for (const double top_m : {2.0, 1.0, -2.0}) {
      CAPTURE(top_m);
      Bench b(upright(8e-3, top_m), {.streamtubes = 1});
      b.drive({}, 1);
      lay_slug(b, 0.5, 0.6e-6);
      const double speed = viana_m_per_s(8e-3, b.net.mu_pa_s, b.net.rho0_kg_per_m3, sigma) * top_m / 2;
      b.drive({}, 2);
      const double at = share_of_slug(b);
      const double from_s = b.c.time_s;
      b.drive({}, 8);
      const double seen = (share_of_slug(b) - at) * 2 / (b.c.time_s - from_s);
      CHECK(near(seen, speed, 5e-3, 0));
      MESSAGE("top at " << top_m << " m: " << seen << " m/s, off by " << seen / speed - 1);
    }
  }

  TEST_CASE("limit: in 3 mm, and in a level line of any bore, a slug stays where it is") {
    for (const auto& [bore_m, top_m] : {std::pair{3e-3, 2.0}, {3.4e-3, -2.0}, {8e-3, 0.0}, {3e-3, 0.0}}) {
      const auto shown_bore_m = bore_m;   // clang 14 captures no structured binding
      CAPTURE(shown_bore_m);
      const auto shown_top_m = top_m;   // clang 14 captures no structured binding
      CAPTURE(shown_top_m);
      Bench b(upright(bore_m, top_m), {.streamtubes = 1});
      b.drive({}, 1);
      lay_slug(b, 0.5, 0.6e-6);
      for (int i = 0; i < 10; ++i) b.drive({}, 1);
      const double at = share_of_slug(b);
      b.drive({}, 3600);
      CHECK(near(share_of_slug(b), at, 0, 1e-9));
    }
  }

  TEST_CASE("limit: a chamber takes no more rising gas than it has oil to give for it") {
    Rig r = upright(8e-3, 2);
    r.branches[0].cylinder.cap_clearance_m3 = 0.1e-6;
    Bench b(r, {.streamtubes = 1});
    b.drive({}, 1);
    lay_slug(b, 0.5, 0.4e-6);
    b.drive({}, 300);
    const int chamber = b.net.place("a.cap_chamber");
    const double room_kg = available_m3(b.net, b.c, chamber) * b.c.pressure_pa_abs[b.index("a.cap_chamber")] / b.net.gas_j_per_kg;
    CHECK(near(held(b.c, chamber).gas_kg(), room_kg, 5e-3, 0));
    CHECK(near(total(b.c).gas_kg() - room_kg, held(b.c, b.net.place("a.cap_line")).gas_kg(), 5e-3, 0));
  }

  TEST_CASE("limit: a slug that rises to the port leaves into the chamber; from the other end it never comes") {
    for (const double top_m : {2.0, -2.0}) {
      CAPTURE(top_m);
      Rig r = upright(8e-3, top_m);
      r.branches[0].cylinder.cap_clearance_m3 = 1e-6;
      Bench b(r, {.streamtubes = 1});
      b.drive({}, 1);
      lay_slug(b, 0.5, 0.4e-6);
      const double gas_kg = total(b.c).gas_kg();
      b.drive({}, 120);
      const double chamber = held(b.c, b.net.place("a.cap_chamber")).gas_kg();
      CHECK(near(total(b.c).gas_kg(), gas_kg, 1e-12, 0));
      if (top_m > 0)
        CHECK(near(chamber, gas_kg, 1e-9, 0));
      else
        CHECK(chamber == 0.0);
    }
  }

  TEST_CASE("limit: at a high point slugs and bubbles gather from both sides, and stay for ever while nothing flows") {
    Rig r = upright(8e-3, 0, 0.8);
    r.air.coarse_m = 1e-3;
    r.air.fine_m = 0.3e-3;
    Bench b(r, {.streamtubes = 12});
    b.drive({}, 1);
    lay_slug(b, 0.2, 0.6e-6);
    const std::size_t p = b.index("a.cap_line");
    Contents c = b.c;
    for (const BubbleClass k : {coarse, fine}) fill(c.line[p].bubbles[k], make_streamtubes(12), 0.3, 0.9, 1e-10);
    b.take(c);
    const Masses before = held(b.c, static_cast<int>(p));
    b.drive({}, 2000);
    CHECK(near(share_of_slug(b), 0.5, 0, 1e-3));
    const Masses after = held(b.c, static_cast<int>(p));
    CHECK(near(after.gas_kg(), before.gas_kg(), 1e-12, 0));
    for (const BubbleClass k : {coarse, fine}) {
      const Swarm& s = b.c.line[p].bubbles[k];
      double middle = 0, kg = 0;
      for (std::size_t t = 0; t < s.count.size(); ++t)
        for (int i = 0; i < s.count[t]; ++i) {
          const Cloud& cloud = s.cloud[t * Swarm::capacity + static_cast<std::size_t>(i)];
          middle += cloud.kg * (cloud.from + cloud.to) / 2;
          kg += cloud.kg;
          CHECK(near(cloud.from, 0.5, 0, 1e-6));
          CHECK(near(cloud.to, 0.5, 0, 1e-6));
        }
      REQUIRE(kg > 0);
      CHECK(near(middle / kg, 0.5, 0, 1e-6));
    }
  }

  TEST_CASE("limit: slow flow leaves a slug at the high point of an 8 mm line, fast flow carries it over") {
    for (const double share : {0.5, 2.0}) {   // of the speed at which k U equals the rise on the far slope
      CAPTURE(share);
      Rig r = upright(8e-3, 0, 0.99);
      r.air.slug_slip = 0;                     // k = 1
      Bench probe(r, {.streamtubes = 1});
      const double area = area_m2(r.branches[0].cap_line);
      const double speed = viana_m_per_s(8e-3, probe.net.mu_pa_s, probe.net.rho0_kg_per_m3, sigma);
      const double flow = share * 0.99 * speed * area;
      r.pump.displacement_m3_per_rad = flow * 0.032 / 12;
      r.branches[0].cylinder.stroke_m = 0.6;
      Bench b(r, {.streamtubes = 1});
      b.drive({}, 1);
      lay_slug(b, 0.4, 0.6e-6);
      b.drive({.motor = true, .extend = true}, 60e-6 / flow);   // 0.6 of the line
      const double at = share_of_slug(b);
      if (share < 1)
        CHECK(near(at, 0.5, 0, 0.02));
      else
        CHECK(((at == 0.0) || (at > 0.65)));
      MESSAGE("flow " << flow * 1e6 << " mL/s: slug at " << at << " of the line");
    }
  }

  TEST_CASE("limit: the high point of a passage keeps its gas through any number of strokes; the rest goes") {
    for (const double gas_share : {0.5, 3.0}) {   // of the high point's volume, at p0
      CAPTURE(gas_share);
      Rig r = bleed_rig(0.5);
      r.air.saturation = 0;
      r.valve_block.passage_m3 = 4e-6;
      r.valve_block.high_point_m3 = 0.4e-6;
      BleedBench b(r, {.streamtubes = 1}, false);
      b.add_gas("valve_block.a", gas_share * 0.4e-6, false);
      const double kg = b.gas_kg("valve_block.a");
      const KeptBooks books(b.c);
      double least = 1e9;
      for (int cycle = 0; cycle < 6; ++cycle) {
        b.extend();
        b.retract();
        least = std::min(least, b.gas_kg("valve_block.a"));
        b.rest();
      }
      books.check(b.c);
      if (gas_share < 1) {
        CHECK(near(b.gas_kg("valve_block.a"), kg, 1e-9, 0));
        CHECK(b.c.ledger.air_vented_kg == 0.0);
      } else {
        CHECK(b.gas_kg("valve_block.a") < kg);
        CHECK(near(b.gas_m3(b.gas_kg("valve_block.a"), b.pressure("valve_block.a")), 0.4e-6, 2e-2, 0));
        MESSAGE("kept " << b.gas_m3(b.gas_kg("valve_block.a"), b.pressure("valve_block.a")) * 1e6 << " mL of 0.4 mL");
      }
    }
  }
}
