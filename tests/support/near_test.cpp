#include "support/near.hpp"

#include <doctest/doctest.h>

#include <sstream>

using evenstroke::near;

TEST_SUITE("support/near") {
  TEST_CASE("check: a relative tolerance has no hidden floor") {
    CHECK_FALSE(near(4.0e-5, 5.0e-5, 1e-3, 0));
    CHECK(near(4.0e-5, 4.0e-5 * (1 + 1e-10), 1e-9, 0));
    CHECK_FALSE(near(1e-15, 0, 1e-9, 0));
    CHECK(near(1e-15, 0, 0, 1e-14));
    CHECK(near(0, 0, 0, 0));
  }

  TEST_CASE("check: nothing is near a number that is none") {
    const double nan = std::numeric_limits<double>::quiet_NaN(), inf = std::numeric_limits<double>::infinity();
    CHECK_FALSE(near(nan, nan, 1, 1));
    CHECK_FALSE(near(nan, 1, 1, 1));
    CHECK_FALSE(near(inf, inf, 1, 1));
    CHECK_FALSE(near(1, 1, nan, nan));
  }

  TEST_CASE("check: a failure shows both numbers") {
    std::ostringstream text;
    text << near(1.5, 2.5, 0, 0.25);
    CHECK(text.str() == "1.5 is not near 2.5 (gap 1, allowed 0.25)");
  }
}
