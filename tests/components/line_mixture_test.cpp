#include <doctest/doctest.h>

#include "evenstroke/components/line.hpp"
#include "support/dual.hpp"
#include "components/plain_line.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::plain;

TEST_SUITE("components/line_mixture") {
  TEST_CASE("law: a mixture is laminar by its viscosity, and loses at ends and bends by its density") {
    const LineLaw<> long_line = line_law(plain(4e-3, 2), 1, 870, 22e-6);
    CHECK(near(flow(long_line, 2e5, 1e5, 0.7, 0.5).q, 2 * flow(long_line, 2e5, 1e5).q, 1e-12, 0));
    const LineLaw<> ends = line_law(plain(4e-3, 0.01, 100), 1, 870, 1e-9);
    CHECK(near(flow(ends, 2e5, 1e5, 0.25, 1.0).q, 2 * flow(ends, 2e5, 1e5).q, 5e-3, 0));
    for (double dp : {-3e5, 0.0, 1e3, 4e6}) CHECK(flow(long_line, dp, 0.0, 1.0, 1.0).q == flow(long_line, dp, 0.0).q);
  }

  TEST_CASE("derivative: slopes of a mixture agree with dual numbers, laminar and turbulent, both ways") {
    const LineLaw<> l = line_law(plain(3e-3, 1, 2), 1, 870, 10e-6);
    const LineLaw<Dual> dual{Dual(l.resistance), Dual(l.minor), Dual(l.re_per_flow)};
    for (double dp : {-4e6, -2e3, 0.0, 1e4, 1.5e5, 3e5, 1e6, 1e8}) {
      CAPTURE(dp);
      const ThroughFlow<double> f = flow(l, 1e5 + dp, 1e5, 0.6, 0.8);
      CHECK(near(f.dq_dfrom, flow(dual, Dual(1e5 + dp, 1), Dual(1e5), Dual(0.6), Dual(0.8)).q.d, 1e-9, 0));
      CHECK(near(f.dq_dto, flow(dual, Dual(1e5 + dp), Dual(1e5, 1), Dual(0.6), Dual(0.8)).q.d, 1e-9, 0));
    }
  }

  TEST_CASE("law: a mixture turns turbulent by its own Reynolds number") {
    // The same line filled with a fluid of those properties: 0.6 of the density, 0.8 of the dynamic viscosity.
    const Line tube = plain(3e-3, 1, 2);
    const LineLaw<> oil = line_law(tube, 1, 870, 10e-6), other = line_law(tube, 1, 0.6 * 870, 10e-6 * 0.8 / 0.6);
    for (double dp : {1e4, 2e5, 5e5, 2e6}) CHECK(near(flow(oil, dp, 0.0, 0.6, 0.8).q, flow(other, dp, 0.0).q, 1e-9, 0));
  }
}
