#include "evenstroke/air/closure_solve.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>

#include "support/dual.hpp"
#include "support/mixture.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::available;
using testing::mixture;

namespace {

constexpr double eps = std::numeric_limits<double>::epsilon();

/// The same answer by halving, in extended precision: slow and simple.
double bisected(const Closure<>& c, double available_m3) {
  using Wide = long double;
  Wide a = 100, b = 4e8;
  for (int i = 0; i < 200; ++i) {
    const Wide p = (a + b) / 2, x = p - Wide(p0_pa_abs), v = 1 - x / (Wide(c.liquid.k0_pa) + Wide(c.liquid.slope) * x);
    const Wide content = Wide(c.oil_m3) * v + Wide(c.gas_j) / p;
    const bool too_low = content > Wide(available_m3) + Wide(c.wall_m3_per_pa) * x;
    (too_low ? a : b) = p;
  }
  return static_cast<double>(a);
}

Closure<Dual> dual(const Closure<>& c) {
  return {c.oil_m3, c.gas_j, c.wall_m3_per_pa, c.p_floor_pa_abs, {c.liquid.k0_pa, c.liquid.slope}};
}

/// Calls f(closure, pressure) over gas shares 0 to 1, pressures from floor to 1000 bar, walls from rigid to soft hose.
template <class F>
void sweep(F f) {
  for (const double share : {0.0, 1e-9, 1e-4, 0.03, 0.5, 0.99, 1.0})
    for (const double wall : {0.0, 2.7e-11, 5e-9, 5e-8})
      for (const double p : {1001.0, 2e4, p0_pa_abs, 1.2e5, 1e6, 3e6, 1.2e7, 1e8}) {
        CAPTURE(share);
        CAPTURE(wall);
        CAPTURE(p);
        f(mixture(3e-5, share, p, wall), p);
      }
}

}  // namespace

TEST_SUITE("air/closure_solve") {
  TEST_CASE("balance: at the pressure found the content fills what is available") {
    sweep([](const Closure<>& c, double p) {
      const double v = available(c, p);
      const PressureSlope<double> found = pressure(c, v);
      const double filled = content_volume(c, found.p) - c.wall_m3_per_pa * (found.p - p0_pa_abs);
      CHECK(near(filled, v, 4 * eps, 4 * eps * (c.oil_m3 + c.gas_j / p)));
      // one rounding of v moves the pressure by |dp/dv| eps v: what is beyond that has to be exact
      CHECK(near(found.p, p, 1e-13, 4 * eps * (c.oil_m3 + c.gas_j / p) * -found.dp_dv));
    });
  }

  TEST_CASE("agreement: halving the bracket in extended precision gives the same pressure to 1e-12") {
    sweep([](const Closure<>& c, double p) {
      const double v = available(c, p), expected = bisected(c, v);
      if (expected > c.p_floor_pa_abs) CHECK(near(pressure(c, v).p, expected, 1e-12, 0));
    });
  }

  TEST_CASE("derivative: slopes by volume, gas and oil against dual numbers") {
    sweep([](const Closure<>& c, double p) {
      const double v = available(c, p);
      const PressureSlope<double> found = pressure(c, v);
      if (found.p <= c.p_floor_pa_abs) return;
      CHECK(near(found.dp_dv, pressure(dual(c), Dual(v, 1)).p.d, 1e-9, 0));
      CHECK(near(found.dp_dv, -1 / compliance(c, found.p), 1e-13, 0));
      Closure<Dual> more = dual(c);
      more.gas_j.d = 1;  // a joule of gas takes 1/p of room
      CHECK(near(pressure(more, Dual(v)).p.d, -found.dp_dv / found.p, 1e-9, 0));
      more = dual(c);
      more.oil_m3.d = 1;
      CHECK(near(pressure(more, Dual(v)).p.d, -found.dp_dv * relative_volume(c.liquid, found.p), 1e-9, 0));
    });
  }

  TEST_CASE("law: more room never raises the pressure, from overfull to cavity, and the answer is always a number") {
    for (const double share : {0.0, 1e-7, 0.01, 0.6, 1.0})
      for (const double wall : {0.0, 2.7e-11, 5e-8})
        for (const double slope : {0.0, 0.5, 5.3, 12.0}) {
          CAPTURE(share);
          CAPTURE(wall);
          CAPTURE(slope);
          Closure<> c = mixture(3e-5, share, 1e5, wall);
          c.liquid.slope = slope;
          PressureSlope<double> last{std::numeric_limits<double>::infinity(), 0};
          bool falls = true, finite = true;
          for (double v = -1e-5; v < 4e-5; v += 2e-9) {
            const PressureSlope<double> now = pressure(c, v);
            falls = falls && now.p <= last.p && now.dp_dv <= 0;
            finite = finite && std::isfinite(now.p) && std::isfinite(now.dp_dv);
            last = now;
          }
          CHECK(falls);
          CHECK(finite);
        }
  }

  TEST_CASE("limit: beyond 2000 bar the curve goes on along its tangent") {
    for (const double share : {0.0, 0.2}) {
      CAPTURE(share);
      const Closure<> c = mixture(3e-5, share, 1e7, 2.7e-11);
      const double edge = available(c, 2e8), step = 1e-9 * edge;
      const PressureSlope<double> below = pressure(c, edge + step), above = pressure(c, edge - step);
      CHECK(near(below.dp_dv, above.dp_dv, 1e-6, 0));
      CHECK(near((above.p - below.p) / (2 * step), -above.dp_dv, 1e-5, 0));
      CHECK(pressure(c, edge / 2).dp_dv == above.dp_dv);
    }
    CHECK(std::isfinite(pressure(Closure<>{}, -1e-6).p));  // nothing inside and less than no room
    CHECK(pressure(Closure<>{}, 1e-6).p == 1000);
  }
}
