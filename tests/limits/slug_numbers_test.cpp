// How far a slug runs ahead of the oil, in numbers. Oil of 860 kg/m3, surface tension 0.030 N/m.
#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "support/bubble_laws.hpp"
#include "support/laid_slug.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

constexpr double sigma = 0.030, rho = 860, tolerance = 5e-3;

/// A rod that stands out and is drawn in at a constant flow out of its cap line.
Rig level_rig(double nu_cst, double bore_m, double length_m, double swept_m3, double flow_m3_per_s, bool out) {
  Rig r = slug_rig(nu_cst, bore_m, length_m, 0, 0);
  Cylinder& c = r.branches[0].cylinder;
  c.bore_m = 32e-3;
  c.rod_m = 20e-3;
  c.stroke_m = swept_m3 / cap_area_m2(c);
  r.pump.displacement_m3_per_rad = flow_m3_per_s * (out ? rod_area_m2(c) / cap_area_m2(c) : 1) * 0.032 / 12;
  r.oil.modulus_40_pa = 1e11;
  return r;
}

constexpr Drive in{.motor = true, .extend = true}, back{.motor = true, .retract = true};
double flow_of(double l_per_min) { return l_per_min * 1e-3 / 60; }

}  // namespace

TEST_SUITE("limits/slug_numbers") {
  TEST_CASE("limit: k is 1.026, 1.117, 1.444, 1.884, 2.089, 2.273 at Ca 0.001, 0.01, 0.1, 0.5, 1, 2") {
    struct Row { double ca, k; };   // k = 1/(1 - m), m = 0.0258, 0.1048, 0.3072 and so on; Ca on the slug's own speed
    for (const Row& r : {Row{1e-3, 1 / (1 - 0.0258)}, {1e-2, 1 / (1 - 0.1048)}, {0.1, 1.444}, {0.5, 1.884}, {1, 2.089},
                         {2, 2.273}}) {
      CAPTURE(r.ca);
      constexpr double bore_m = 6e-3, swept_m3 = 40e-6;
      const double area = std::numbers::pi / 4 * bore_m * bore_m, mu = 46e-6 * rho;
      const double flow = r.ca * sigma / mu / r.k * area;
      Bench b(level_rig(46, bore_m, 12, swept_m3, flow, true), {.streamtubes = 1});
      b.c.position_m[0] = b.cylinder().stroke_m;
      b.fill();
      lay_slug(b, 0.7, 0.8e-6);
      const double from_m3 = slug_m3(b);
      b.drive(back, 1.01 * swept_m3 / flow, [](const Contents& c, const FlowEngine::Quantum&) {
        return c.position_m[0] == 0.0;
      });
      REQUIRE(b.c.position_m[0] == 0.0);
      b.drive({.retract = true}, 20);
      const double k = (from_m3 - slug_m3(b)) / swept_m3;
      CHECK(near(k, r.k, tolerance, 0));
      MESSAGE("Ca " << r.ca << ": k " << k << ", off by " << k / r.k - 1);
    }
  }

  TEST_CASE("limit: 4 mm, 32 mm2/s: out at 1.0 and in at 0.2 L/min a slug gains 0.50 V_s/A, 400 mm per 10 mL") {
    constexpr double bore_m = 4e-3, swept_m3 = 10e-6, length_m = 3;
    const double area = std::numbers::pi / 4 * bore_m * bore_m;
    Bench out(level_rig(32, bore_m, length_m, swept_m3, flow_of(1.0), true), {.streamtubes = 1});
    Bench fill(level_rig(32, bore_m, length_m, swept_m3, flow_of(0.2), false), {.streamtubes = 1});
    out.c.position_m[0] = out.cylinder().stroke_m;
    out.fill();
    lay_slug(out, 0.85, 0.08e-6);   // little beside the stroke; squeezed to a half it still fills the bore
    const double from_m3 = slug_m3(out);
    out.drive(back, 60, [](const Contents& c, const FlowEngine::Quantum&) { return c.position_m[0] == 0.0; });
    out.drive({.retract = true}, 20);
    fill.take(out.c);
    fill.drive(in, 60, [&](const Contents& c, const FlowEngine::Quantum&) {
      return c.position_m[0] == fill.cylinder().stroke_m;
    });
    fill.drive({.retract = true, .on_panel = true}, 0.01);
    const double gain_m3 = from_m3 - slug_m3(fill);
    const double mu = 32e-6 * rho, k_out = film_ratio(flow_of(1.0) / area, mu, sigma);
    const double k_in = film_ratio(flow_of(0.2) / area, mu, sigma);
    CHECK(near(k_out - k_in, 0.50, 0, 5e-3));
    CHECK(near(gain_m3, (k_out - k_in) * swept_m3, tolerance, 0));
    CHECK(near(gain_m3 / area, 0.400, tolerance, 0));
    MESSAGE("k " << k_out << ", " << k_in << "; gains " << gain_m3 / swept_m3 << " of the stroke");
  }

  TEST_CASE("limit: a slug at the far end of a line of 1/0.23 strokes, k 2.356 and 1.41, is out in stroke 4") {
    constexpr double bore_m = 4e-3, theta = 0.23, length_m = 6;
    const double area = std::numbers::pi / 4 * bore_m * bore_m, swept_m3 = theta * area * length_m, mu = 32e-6 * rho;
    double low = 0, high = flow_of(1.0);   // the flow at which k is 1.41
    for (int i = 0; i < 60; ++i) {
      const double middle = (low + high) / 2;
      (film_ratio(middle / area, mu, sigma) < 1.41 ? low : high) = middle;
    }
    CHECK(near(film_ratio(flow_of(1.0) / area, mu, sigma), 2.356, 1e-3, 0));
    Bench out(level_rig(32, bore_m, length_m, swept_m3, flow_of(1.0), true), {.streamtubes = 1});
    Bench fill(level_rig(32, bore_m, length_m, swept_m3, low, false), {.streamtubes = 1});
    fill.c.position_m[0] = fill.cylinder().stroke_m;
    fill.fill();
    lay_slug(fill, 0.99, 0.3e-6);
    const double gas_kg = held(fill.c, fill.net.place("a.cap_line")).gas_kg();
    int strokes = 0;
    while (held(fill.c, fill.net.place("a.cap_line")).gas_kg() > 0.5 * gas_kg) {
      REQUIRE(++strokes < 20);
      out.take(fill.c);
      out.drive(back, 600, [](const Contents& c, const FlowEngine::Quantum&) { return c.position_m[0] == 0.0; });
      out.drive({.retract = true}, 20);
      fill.take(out.c);
      if (held(fill.c, fill.net.place("a.cap_line")).gas_kg() <= 0.5 * gas_kg) break;
      fill.drive(in, 600, [&](const Contents& c, const FlowEngine::Quantum&) {
        return c.position_m[0] == fill.cylinder().stroke_m;
      });
      MESSAGE("after stroke " << strokes << " at " << slug_m3(fill) / area / length_m << " of the line");
    }
    CHECK(strokes == 4);   // 1 + ceil((1/0.23 - 2.356)/(2.356 - 1.41)) = 1 + ceil(2.1)
  }
}
