#include <doctest/doctest.h>

#include <cmath>

#include "components/refused.hpp"
#include "evenstroke/components/cylinder.hpp"
#include "support/near.hpp"

using namespace evenstroke;

namespace {

Cylinder cylinder() {
  Cylinder c;
  c.bore_m = 0.02;
  c.rod_m = 0.012;
  c.stroke_m = 0.25;
  return c;
}

}  // namespace

TEST_SUITE("components/cylinder_rest") {
  TEST_CASE("law: the ports stand a stroke apart, by attitude") {
    Cylinder c = cylinder();
    c.height_m = 0.4;
    c.attitude = Attitude::rod_up;
    CHECK(near(rod_port_height_m(c), 0.65, 1e-14, 0));
    c.attitude = Attitude::rod_down;
    CHECK(near(rod_port_height_m(c), 0.15, 1e-14, 0));
    c.attitude = Attitude::level;
    CHECK(rod_port_height_m(c) == 0.4);
  }

  TEST_CASE("law: each tenfold rest adds the same share, and none adds nothing") {
    CHECK(breakaway_after_n(60, 0.1, 0) == 60.0);
    CHECK(breakaway_after_n(60, 0.1, -5) == 60.0);
    CHECK(near(breakaway_after_n(60, 0.1, 9), 66, 1e-12, 0));
    CHECK(near(breakaway_after_n(60, 0.1, 99), 72, 1e-12, 0));
    CHECK(breakaway_after_n(60, 0, 1e6) == 60.0);
  }

  TEST_CASE("reference: the band covers a fifth to twice the breakaway after hours") {
    // Common practice, no source: +20 to +100 % after hours at rest. One hour is the hardest for the upper end.
    CHECK(breakaway_after_n(1, 0.3, 3600) > 2.0);
    CHECK(breakaway_after_n(1, 0.05, 8 * 3600.0) < 1.25);
    const double growth = Cylinder{}.dwell_growth;
    for (double hours : {1.0, 3.0, 12.0, 100.0}) {
      CAPTURE(hours);
      CHECK(breakaway_after_n(1, growth, hours * 3600) > 1.2);
      CHECK(breakaway_after_n(1, growth, hours * 3600) < 2.0);
    }
  }

  TEST_CASE("check: nonsense is refused by name") {
    const auto with = [](double Cylinder::*member, double value) {
      Cylinder c = cylinder();
      c.*member = value;
      return refused(c);
    };
    CHECK(with(&Cylinder::height_m, -1.5) == "");
    CHECK(with(&Cylinder::height_m, 400) == "part.height_m");
    CHECK(with(&Cylinder::dwell_growth, -0.1) == "part.dwell_growth");
    CHECK(with(&Cylinder::seal_m3_per_s_pa, -1e-12) == "part.seal_m3_per_s_pa");
    CHECK(with(&Cylinder::seal_crack_pa_diff, 2e5) == "part.seal_crack_pa_diff");   // more than the atmosphere has
    CHECK(with(&Cylinder::seal_crack_pa_diff, 0) == "part.seal_crack_pa_diff");
    CHECK(with(&Cylinder::seal_crack_pa_diff, std::nan("")) == "part.seal_crack_pa_diff");
  }
}
