#include "evenstroke/components/leak.hpp"

#include <doctest/doctest.h>

#include "support/dual.hpp"
#include "support/near.hpp"
#include "evenstroke/base/error.hpp"

// Worked examples below are quoted as printed in the open textbook companion of FOSSEE.
using namespace evenstroke;

TEST_SUITE("components/leak") {
  TEST_CASE("law: flow is proportional to the difference and changes sign with it") {
    const LeakLaw<> l{2e-16};
    CHECK(near(flow(l, 30e5, 10e5).q, 4e-10, 1e-14, 0));
    CHECK(flow(l, 10e5, 30e5).q == -flow(l, 30e5, 10e5).q);
    CHECK(flow(l, 10e5, 10e5).q == 0.0);
  }

  TEST_CASE("derivative: both slopes agree with dual numbers") {
    const LeakLaw<Dual> l{Dual(2e-16)};
    CHECK(near(flow(LeakLaw<>{2e-16}, 3e5, 1e5).dq_dfrom, flow(l, Dual(3e5, 1), Dual(1e5)).q.d, 1e-14, 0));
    CHECK(near(flow(LeakLaw<>{2e-16}, 3e5, 1e5).dq_dto, flow(l, Dual(3e5), Dual(1e5, 1)).q.d, 1e-14, 0));
  }

  TEST_CASE("reference: leak past a 25 mm piston with a 5 um gap at 190 bar") {
    // Fox and McDonald, Introduction to Fluid Mechanics, Example 8.1: 57.57 mm3/s
    CHECK(near(gap_conductance(0.025, 5e-6, 0.015, 0.018) * 19e6, 57.57e-9, 5e-4, 0));
  }

  TEST_CASE("reference: leak past a 6.35 mm valve stem at 100 psi") {
    // N. de Nevers, Fluid Mechanics for Chemical Engineers, Example 6.13: 0.2706 in3/h, 1e-4 in gap, 0.6 mPa s
    const double printed = 0.2706 * 1.6387064e-5 / 3600;
    CHECK(near(gap_conductance(6.35e-3, 2.54e-6, 25.4e-3, 0.6e-3) * 689475.7293, printed, 2e-3, 0));
  }

  TEST_CASE("check: a gap must be positive and thin, a viscosity positive") {
    CHECK_THROWS_AS(gap_conductance(0.025, 0, 0.015, 0.018), InputError);
    CHECK_THROWS_AS(gap_conductance(0.025, 5e-6, -0.015, 0.018), InputError);
    CHECK_THROWS_AS(gap_conductance(0.025, 5e-6, 0.015, 0), InputError);
    CHECK_THROWS_WITH_AS(gap_conductance(0.025, 0.005, 0.015, 0.018), doctest::Contains("thin"), InputError);
  }
}
