#include "evenstroke/components/orifice.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "support/dual.hpp"
#include "support/near.hpp"
#include "evenstroke/base/error.hpp"

// Worked examples below are quoted as printed in the open textbook companion of FOSSEE.
using namespace evenstroke;

namespace {

double hole_m2(double diameter_m) { return std::numbers::pi / 4 * diameter_m * diameter_m; }

constexpr double sharp_re = 10, no_laminar_re = 1e-6;
const OrificeLaw<> k_small = orifice_law(hole_m2(0.8e-3), 0.62, 870, 22e-6, sharp_re);

}  // namespace

TEST_SUITE("components/orifice") {
  TEST_CASE("law: flow is odd in the difference and grows with it") {
    double before = 0;
    for (double dp : {1e-3, 1.0, 50.0, 86.0, 1e3, 1e5, 1e7}) {
      CAPTURE(dp);
      const double q = flow(k_small, 2e5 + dp, 2e5).q;
      CHECK(q > before);
      CHECK(flow(k_small, 2e5, 2e5 + dp).q == -q);
      before = q;
    }
    CHECK(flow(k_small, 2e5, 2e5).q == 0.0);
  }

  TEST_CASE("limit: far above the laminar zone flow follows the square root") {
    const double dp = 1e7, root = 0.62 * hole_m2(0.8e-3) * std::sqrt(2 * dp / 870);
    CHECK(near(flow(k_small, dp, 0.0).q, root, 2e-3, 0));
    CHECK(near(flow(orifice_law(hole_m2(0.8e-3), 0.62, 870, 22e-6, no_laminar_re), dp, 0.0).q, root, 1e-9, 0));
  }

  TEST_CASE("limit: at zero difference the slope is finite, 2 Cd^2 A d/(mu Re_t)") {
    const double expected = 2 * 0.62 * 0.62 * hole_m2(0.8e-3) * 0.8e-3 / (870 * 22e-6 * sharp_re);
    CHECK(near(flow(k_small, 1e5, 1e5).dq_dfrom, expected, 1e-12, 0));
  }

  TEST_CASE("limit: a shut opening passes nothing") {
    const ThroughFlow<double> f = flow(orifice_law(0, 0.62, 870, 22e-6, sharp_re), 90e5, 1e5);
    CHECK(f.q == 0.0);
    CHECK(f.dq_dfrom == 0.0);
  }

  TEST_CASE("derivative: both slopes agree with dual numbers") {
    const OrificeLaw<Dual> dual{Dual(k_small.laminar), Dual(k_small.turbulent)};
    for (double dp : {-1e6, -86.0, -1.0, 0.0, 3.0, 120.0, 1e4, 9e6}) {
      CAPTURE(dp);
      const ThroughFlow<double> f = flow(k_small, 3e5 + dp, 3e5);
      CHECK(near(f.dq_dfrom, flow(dual, Dual(3e5 + dp, 1), Dual(3e5)).q.d, 1e-12, 0));
      CHECK(near(f.dq_dto, flow(dual, Dual(3e5 + dp), Dual(3e5, 1)).q.d, 1e-12, 0));
    }
  }

  TEST_CASE("reference: laminar flow through a sharp round hole") {
    // Wuest 1954 as given by Merritt 1967, q = pi d^3 dp/(50.4 mu), from memory. Our transition Re is rounded to 10,
    // hence the width; Sampson's creeping flow (1891, d^3 dp/(24 mu), from memory) lies a third lower, so this end is
    // known no better.
    const double d = 0.8e-3, mu = 870 * 22e-6;
    const double slope = flow(orifice_law(hole_m2(d), 0.611, 870, 22e-6, sharp_re), 1e5, 1e5).dq_dfrom;
    CHECK(near(slope, std::numbers::pi * d * d * d / (50.4 * mu), 0.1, 0));
  }

  TEST_CASE("reference: discharge coefficient from a flow test") {
    // J. Sullivan, Fluid Power: Theory and Applications, 4th ed., Example 5.4: 0.0631 m3/s at 120 psi, Cd printed 0.70
    CHECK(near(flow(orifice_law(0.0020258024, 0.70, 849.15, 1e-5, no_laminar_re), 827370.875, 0.0).q, 0.0630901964, 0.01, 0));
  }

  TEST_CASE("reference: 2 mm hole, 30 L/min of mineral oil") {
    // Common practice, no source: a component maker's calculator gives 288 bar with Cd 0.62; density 870 is ours
    CHECK(near(flow(orifice_law(hole_m2(2e-3), 0.62, 870, 30e-6, no_laminar_re), 288e5, 0.0).q, 0.0005, 0.01, 0));
  }

  TEST_CASE("reference: mass flow of a 0.8 mm hole in a 4 mm line at 50 bar") {
    // fluids 1.3.1, flow_meter_discharge(4e-3, 0.8e-3, 100e5, 50e5, 870, 0.61); it counts the approach speed
    const double approach = std::sqrt(1 - std::pow(0.2, 4));
    CHECK(near(870 * flow(orifice_law(hole_m2(0.8e-3), 0.61, 870, 22e-6, no_laminar_re), 100e5, 50e5).q / approach, 0.0286224648, 1e-6,
               0));
  }

  TEST_CASE("check: an opening, a coefficient and an oil that cannot be are refused") {
    CHECK_THROWS_AS(orifice_law(-1e-6, 0.62, 870, 22e-6, sharp_re), InputError);
    CHECK_THROWS_AS(orifice_law(1e-6, 0, 870, 22e-6, sharp_re), InputError);
    CHECK_THROWS_AS(orifice_law(1e-6, 0.62, std::nan(""), 22e-6, sharp_re), InputError);
    CHECK_THROWS_AS(orifice_law(1e-6, 0.62, 870, -22e-6, sharp_re), InputError);
  }
}
