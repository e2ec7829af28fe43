#include "evenstroke/air/closure.hpp"

#include <doctest/doctest.h>

#include <limits>

#include "support/mixture.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::available;
using testing::mixture;

TEST_SUITE("air/closure") {
  TEST_CASE("limit: gas alone follows Boyle's law") {
    const Closure<> air{.gas_j = p0_pa_abs * 1e-6};  // 1 mL of free air
    for (const double v : {4e-5, 1e-6, 1e-7, 1e-8, 1.1e-9}) {
      CAPTURE(v);
      CHECK(near(pressure(air, v).p * v, p0_pa_abs * 1e-6, 1e-14, 0));
      CHECK(near(pressure(air, v).dp_dv, -p0_pa_abs * 1e-6 / (v * v), 1e-12, 0));
    }
  }

  TEST_CASE("limit: oil alone in a rigid wall follows its own law, inverted by hand") {
    const Closure<> oil{.oil_m3 = 1e-4, .liquid = {1.6e9, 5.3}};
    CHECK(pressure(oil, 1e-4).p == p0_pa_abs);
    for (const double lost : {1e-6, 1e-4, 0.003, 0.02, 0.045}) {
      CAPTURE(lost);
      const double v = 1e-4 * (1 - lost), s = (1e-4 - v) / 1e-4;  // s: what is left of `lost` after rounding v
      CHECK(near(pressure(oil, v).p - p0_pa_abs, 1.6e9 * s / (1 - 5.3 * s), 1e-11, 1e-9));
    }
  }

  TEST_CASE("limit: at atmospheric pressure oil and wall give way in parallel") {
    Closure<> line{.oil_m3 = 2e-5, .wall_m3_per_pa = 9e-14, .liquid = {1.6e9, 5.3}};
    const auto [p, dp_dv] = pressure(line, 2e-5);
    CHECK(near(p, p0_pa_abs, 1e-14, 0));
    CHECK(near(-1 / dp_dv, 2e-5 / 1.6e9 + 9e-14, 1e-12, 0));
  }

  TEST_CASE("limit: too much room opens a cavity at the floor pressure") {
    for (const double share : {0.0, 1e-6, 0.03}) {
      CAPTURE(share);
      const Closure<> c = mixture(3e-5, share, 1e5, 2.7e-11);
      const double edge = available(c, c.p_floor_pa_abs);
      for (const double extra : {1e-12, 1e-6, 1.0}) {
        CAPTURE(extra);
        const PressureSlope<double> found = pressure(c, edge + extra);
        CHECK(found.p == c.p_floor_pa_abs);
        CHECK(found.dp_dv == 0);
        CHECK(near(cavity_volume(c, edge + extra), extra, 1e-15, 1e-15 * edge));
      }
      const double inside = edge - 1e-9 * edge;
      CHECK(pressure(c, inside).p > c.p_floor_pa_abs);
      CHECK(pressure(c, inside).dp_dv < 0);
      CHECK(cavity_volume(c, inside) == 0);
    }
  }
}
