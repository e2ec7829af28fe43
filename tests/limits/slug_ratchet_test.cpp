// How far a slug gets in a stroke and comes back: only what differs between the two speeds stays.
#include <doctest/doctest.h>

#include <cmath>

#include "evenstroke/transport/queue.hpp"
#include "support/bubble_laws.hpp"
#include "support/line_air.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

/// A stroke of 40 mL before a line of 6 mm and 12 m that holds 339 mL: the slug stays in the line for several strokes.
Rig ratchet_rig(double slug_ratio, double supply_v) {
  Rig r = bleed_rig(12);
  r.branches[0].cylinder.stroke_m = 0.05;
  r.branches[0].cap_line.bore_m = 6e-3;
  r.air.slug_slip = 1;
  r.air.slug_ratio = slug_ratio;
  r.air.saturation = 0;
  r.panel.mass_kg = 0;
  r.pump.supply_v = supply_v;
  r.oil.modulus_40_pa = 1e11;   // the line's drop of a few bar would press 0.3 % of a stroke into the line
  return r;
}

/// One slug of 0.15 mL whose middle stands at `share` of the line from the valve block.
void lay_slug(BleedBench& b, double share) {
  Queue& q = b.c.line[b.place("left.cap_line")].queue;
  const double line = b.net.places[b.place("left.cap_line")].volume_m3, m3 = 0.15e-6, before = share - m3 / line / 2;
  const Parcel oil = q[0];
  const auto stretch = [&](double part) { return Parcel{part * oil.oil_kg, 0, part * oil.dissolved_kg, false}; };
  q.count = 3;
  q[0] = stretch(before);
  q[1] = {0, b.gas_kg_of_m3(m3, p0_pa_abs), 0, true};
  q[2] = stretch(1 - before - m3 / line);
  b.c.recipe.valid = false;
}

/// Its middle from the valve block [m3].
double position_m3(const BleedBench& b) {
  const std::size_t p = b.place("left.cap_line");
  const double pressure = b.c.pressure_pa_abs[p], gas = b.net.gas_j_per_kg / pressure;
  const double oil = relative_volume(b.net.liquid, pressure) / b.net.rho0_kg_per_m3;
  return slug_position_m3(b.c.line[p].queue, {oil, gas, gas, 6e-3});
}

}  // namespace

TEST_SUITE("limits/slug_ratchet") {
  TEST_CASE("limit: out fast and in slow, a slug gains (k_out - k_in) V_s towards the reservoir in every cycle") {
    for (const double supply_v : {1.0, 2.0, 4.0}) {
      CAPTURE(supply_v);
      BleedBench b(ratchet_rig(0, supply_v), {.streamtubes = 1}, true);
      lay_slug(b, 0.7);
      const KeptBooks books(b.c);
      const double area = area_m2(b.rig.branches[0].cap_line), sigma = b.rig.air.surface_tension_n_per_m;
      for (int cycle = 0; cycle < 3; ++cycle) {
        CAPTURE(cycle);
        const double from_m3 = position_m3(b);
        double from_s = b.c.time_s;
        b.retract();
        const double k_out = film_ratio(b.stroke_m3() / (area * (b.c.time_s - from_s)), b.net.mu_pa_s, sigma);
        const double out_m3 = from_m3 - position_m3(b);
        b.rest(200);
        from_s = b.c.time_s;
        b.extend();
        const double k_in = film_ratio(b.stroke_m3() / (area * (b.c.time_s - from_s)), b.net.mu_pa_s, sigma);
        b.rest(200);
        CHECK(near(out_m3, k_out * b.stroke_m3(), 5e-3, 0));
        CHECK(near(from_m3 - position_m3(b), (k_out - k_in) * b.stroke_m3(), 5e-3, 0));
        CHECK(k_out > k_in + 0.05);
        MESSAGE(supply_v << " V, k " << k_out << " " << k_in << " way out off by "
                         << out_m3 / (k_out * b.stroke_m3()) - 1 << " gain off by "
                         << (from_m3 - position_m3(b)) / ((k_out - k_in) * b.stroke_m3()) - 1);
      }
      books.check(b.c);
    }
  }

  TEST_CASE("limit: one k both ways, be it 1 or 2, brings a slug back to where it was") {
    for (const double k : {1.0, 1.5, 2.0}) {
      CAPTURE(k);
      BleedBench b(ratchet_rig(k, 4), {.streamtubes = 1}, true);
      lay_slug(b, 0.7);
      const double first = position_m3(b);
      for (int cycle = 0; cycle < 3; ++cycle) {
        b.retract();
        CHECK(near(first - position_m3(b), k * b.stroke_m3(), 5e-3, 0));
        b.rest(200);
        b.extend();
        b.rest(200);
        CHECK(near(position_m3(b), first, 0, 2e-3 * b.stroke_m3()));
        MESSAGE("k " << k << " back to within " << (position_m3(b) - first) / b.stroke_m3() << " of the stroke");
      }
    }
  }

  TEST_CASE("limit: a slug xi V_l from the valve block leaves in stroke 1 + ceil((xi/theta - k_out)/(k_out - k_in))") {
    for (const double xi : {0.15, 0.27, 0.45, 0.6}) {   // well away from a whole number: checked
      CAPTURE(xi);
      BleedBench b(ratchet_rig(0, 4), {.streamtubes = 1}, true);
      const double line = b.net.places[b.place("left.cap_line")].volume_m3;
      lay_slug(b, xi);
      const double gas = b.gas_kg(), sigma = b.rig.air.surface_tension_n_per_m;
      const double area = area_m2(b.rig.branches[0].cap_line);
      double k_out = 0, k_in = 0;
      int strokes = 0;
      while (b.gas_kg("left.cap_line") > 0.5 * gas) {
        REQUIRE(++strokes < 40);
        double from_s = b.c.time_s;
        b.retract();
        k_out = film_ratio(b.stroke_m3() / (area * (b.c.time_s - from_s)), b.net.mu_pa_s, sigma);
        b.rest(200);
        from_s = b.c.time_s;
        b.extend();
        k_in = film_ratio(b.stroke_m3() / (area * (b.c.time_s - from_s)), b.net.mu_pa_s, sigma);
        b.rest(200);
      }
      const double theta = b.stroke_m3() / line, exact = 1 + (xi / theta - k_out) / (k_out - k_in);
      CHECK(std::abs(exact - std::round(exact)) > 0.05);
      CHECK(strokes == std::max(1, static_cast<int>(std::ceil(exact))));
      MESSAGE("xi " << xi << " left in stroke " << strokes << ", closed form before rounding up " << exact);
    }
  }
}
