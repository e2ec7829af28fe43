#include <doctest/doctest.h>

#include <cmath>

#include "support/bleed_bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

// A slug starts at the cylinder's port, which is on top. A return carries its nose k (V_s + V_o + b) along the line,
// with V_o what the oil and b = V_gas (1 - p0/p) what the gas gives when let down from p; what is beyond the line's end is
// gone. b is also what the gas costs in the next lift, b = lag A. So with one k both ways gas goes until
// lag A = V_l/k - V_s - V_o, and a line longer than k (V_s + V_o + e_tol A) never bleeds to a lag of e_tol.

namespace {

constexpr double tolerance_m = 0.8e-3;

Rig slug_rig(double cap_line_m, double k, bool pair) {
  Rig r = pair ? bleed_pair_rig(cap_line_m) : bleed_rig(cap_line_m);
  r.air.slug_slip = 1;
  r.air.slug_ratio = k;
  return r;
}

/// Length of line at the boundary of "never", for a lifting pressure of 3.52 bar; 0.1 bar more or less is 6e-6 of it.
double boundary_m(double k, double passages_m3) {
  const BleedBench b(bleed_rig(1));
  const double area = b.stroke_m3() / b.net.axes[0].travel_m;
  return length_for(k * (b.stroke_m3() + b.decompressed_m3(3.52e5) + tolerance_m * area) - passages_m3);
}

/// Film of a long bubble after Aussillous and Quere 2000 (from memory), solved for k by halving: k = 1/(1 - h/R)^2.
double film_ratio(double speed_m_per_s, double mu_pa_s, double sigma_n_per_m) {
  double low = 1, high = 2.5;
  for (int i = 0; i < 60; ++i) {
    const double k = (low + high) / 2, x = std::pow(mu_pa_s * k * speed_m_per_s / sigma_n_per_m, 2.0 / 3);
    const double h = 1.34 * x / (1 + 3.35 * x);
    (1 / ((1 - h) * (1 - h)) > k ? low : high) = k;
  }
  return low;
}

}  // namespace

TEST_SUITE("limits/bleed_slug") {
  TEST_CASE("limit: one k both ways: gas goes until lag A = V_l/k - V_s - V_o; never above V_l = k (V_s + V_o + e A)") {
    for (const double k : {1.0, 1.5}) {
      const double reach = k > 1 ? 2e-3 : 5e-4;   // of the line's volume: the closed form is met to this
      for (const double share : {1 - reach, 1 + reach}) {
        CAPTURE(k);
        CAPTURE(share);
        BleedBench b(slug_rig(share * boundary_m(k, 1e-8), k, false), {}, true);
        b.add_gas("left.cap_chamber", 3.5e-6, false);
        b.retract();
        b.rest(80);
        double lag = 0, last = 0, p = 0;
        for (int cycle = 0; cycle < 12; ++cycle) {
          b.extend();
          p = b.pressure("left.cap_chamber");
          b.retract();
          b.rest(80);
          last = lag;
          lag = b.gas_m3(b.gas_kg(), p0_pa_abs) * (1 - p0_pa_abs / p) * b.net.axes[0].travel_m / b.stroke_m3();
        }
        const double spare = b.line_m3() / k - b.stroke_m3() - b.decompressed_m3(p);
        const double closed = spare * b.net.axes[0].travel_m / b.stroke_m3();
        CHECK(near(lag, closed, 0, reach * b.net.axes[0].travel_m));
        CHECK(near(lag, last, 0, 0.01 * tolerance_m));   // nothing more will come
        CHECK((lag > tolerance_m) == (share > 1));
      }
    }
  }

  TEST_CASE("limit: run says never on one side of that length, and counts strokes on the other") {
    for (const double k : {1.0, 1.5})
      for (const double share : {0.998, 1.002}) {
        CAPTURE(k);
        CAPTURE(share);
        Rig r = slug_rig(share * boundary_m(k, 2e-8), k, true);
        r.air.joint_m3 = 3.5e-6;   // one slug at the cylinder's end of the left cap line, four times the tolerated gas
        Procedure p;
        p.steps = {{.bypass_open = true, .strokes = 1, .dwell_s = 80, .rods = Rods::panel, .repeat = true}};
        RunOptions options;
        options.record = false;
        options.resolution.streamtubes = 1;
        options.tolerance_m = tolerance_m;
        const Run run_ = run(r, after_exchange(r, {}, {"left.cap_line"}), p, options);
        REQUIRE(run_.status.ok());
        CHECK(run_.books.air_rel_error < 1e-12);
        CHECK(std::abs(run_.strokes.front().air_part_m[1]) > 3 * tolerance_m);
        CHECK(run_.bled.answered == (share > 1 ? Answered::never : Answered::reached));
        CHECK(run_.parallel.answered == run_.bled.answered);
      }
  }

  TEST_CASE("limit: with k(Ca) a slug ratchets out in 1 + ceil((V_l/V_s - k_out)/(k_out - k_in)) strokes, within one") {
    for (const double length_m : {8.0, 11.5, 13.0, 16.0, 22.0}) {
      CAPTURE(length_m);
      BleedBench b(slug_rig(length_m, 0, false), {}, true);
      const double gas = 0.6e-6, area = area_m2(b.rig.branches[0].cap_line);
      b.add_gas("left.cap_chamber", gas, false);
      double out_m_per_s = 0, in_m_per_s = 0;
      int strokes = 0;
      while (b.gas_m3(b.c.ledger.air_vented_kg, p0_pa_abs) < 0.5 * gas) {
        REQUIRE(++strokes < 40);
        double from_s = b.c.time_s;
        b.retract();
        if (out_m_per_s == 0) out_m_per_s = b.stroke_m3() / (area * (b.c.time_s - from_s));
        b.rest();
        from_s = b.c.time_s;
        b.extend();
        if (in_m_per_s == 0) in_m_per_s = b.stroke_m3() / (area * (b.c.time_s - from_s));
      }
      const double sigma = b.rig.air.surface_tension_n_per_m;
      const double k_out = film_ratio(out_m_per_s, b.net.mu_pa_s, sigma);
      const double k_in = film_ratio(in_m_per_s, b.net.mu_pa_s, sigma);
      CHECK(k_out > k_in + 0.05);   // the cap line flows out A_c/A_r times as fast as in
      const double lines = b.line_m3() / (b.stroke_m3() + b.decompressed_m3(b.pressure("left.cap_chamber")));
      const int count = k_out >= lines ? 1 : 1 + static_cast<int>(std::ceil((lines - k_out) / (k_out - k_in)));
      CAPTURE(k_out);
      CAPTURE(k_in);
      CHECK(std::abs(strokes - count) <= 1);
    }
  }
}
