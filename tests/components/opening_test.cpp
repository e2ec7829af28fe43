#include "evenstroke/components/opening.hpp"

#include <doctest/doctest.h>

#include "support/dual.hpp"
#include "support/near.hpp"

using namespace evenstroke;

TEST_SUITE("components/opening") {
  TEST_CASE("limit: exactly the least share at and below where it shuts, exactly one at and beyond where it is wide open") {
    const OpeningLaw<> passage{0.2, 1 / 3e-3, 0};
    CHECK(opening(passage, 0.1).share == 0);
    CHECK(opening(passage, 0.2).share == 0);
    CHECK(opening(passage, 0.2).slope == 0);
    CHECK(near(opening(passage, 0.2015).share, 0.5, 1e-12, 0));
    CHECK(near(opening(passage, 0.203).share, 1, 1e-12, 0));
    CHECK(opening(passage, 0.25).share == 1);
    CHECK(opening(OpeningLaw<>{0.0, 500, 0.01}, -1.0).share == 0.01);
  }
  TEST_CASE("symmetry: of two edges that open opposite ways one opens by what the other one shuts") {
    for (const double x : {-1e-3, -7e-4, -1e-5, 0.0, 3e-4, 9.9e-4}) {
      CAPTURE(x);
      const double one = opening(OpeningLaw<>{-1e-3, 500, 0}, x).share, other = opening(OpeningLaw<>{1e-3, -500, 0}, x).share;
      CHECK(near(one + other, 1, 1e-14, 0));
    }
  }
  TEST_CASE("derivative: the slope is that of dual numbers, in both corners and between") {
    for (const double per : {500.0, -500.0})
      for (const double s : {-0.1, 0.01, 0.04, 0.5, 0.96, 0.99, 1.2}) {
        CAPTURE(s);
        const double x = 2e-3 + s / per;
        const Dual by = opening(OpeningLaw<Dual>{Dual(2e-3), Dual(per), Dual(0.02)}, Dual(x, 1)).share;
        CHECK(near(opening(OpeningLaw<>{2e-3, per, 0.02}, x).slope, by.d, 1e-12, 1e-12));
      }
  }
}
