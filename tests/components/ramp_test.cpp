#include "evenstroke/components/ramp.hpp"

#include <doctest/doctest.h>

#include "support/dual.hpp"
#include "support/near.hpp"

using namespace evenstroke;

TEST_SUITE("components/ramp") {
  TEST_CASE("law: outside the corner it is exactly 0 or x") {
    for (double x : {-50.0, -3.0, -1.0}) CHECK(ramp(x, 2.0).y == 0.0);
    for (double x : {1.0, 3.0, 50.0}) CHECK(ramp(x, 2.0).y == x);
  }

  TEST_CASE("limit: the corner never goes below 0 or x and lies an eighth of its width off at most") {
    for (int i = -40; i <= 40; ++i) {
      const double x = 0.05 * i, y = ramp(x, 2.0).y, corner = x > 0 ? x : 0.0;
      CAPTURE(x);
      CHECK(y >= corner);
      CHECK(y <= corner + 0.25 + 1e-15);
    }
    CHECK(near(ramp(0.0, 2.0).y, 0.25, 1e-15, 0));
  }

  TEST_CASE("limit: value and slope have no jump at the ends of the corner") {
    const double tiny = 1e-9;
    for (double end : {-1.0, 1.0}) {
      CAPTURE(end);
      CHECK(near(ramp(end + tiny, 2.0).y, ramp(end - tiny, 2.0).y, 0, 3 * tiny));
      CHECK(near(ramp(end + tiny, 2.0).slope, ramp(end - tiny, 2.0).slope, 0, 3 * tiny));
    }
  }

  TEST_CASE("derivative: the slope is that of the value") {
    for (double x : {-2.0, -0.9, -0.1, 0.0, 0.4, 0.99, 5.0}) {
      CAPTURE(x);
      CHECK(near(ramp(x, 2.0).slope, slope_of([](auto z) { return ramp(z, decltype(z)(2)).y; }, x), 1e-14, 1e-15));
    }
  }
}
