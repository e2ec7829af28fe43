#include "evenstroke/fluid/walther.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "support/near.hpp"

using namespace evenstroke;

TEST_SUITE("fluid/walther") {
  TEST_CASE("reference: the worked line through 32 and 5.4 mm2/s") {
    // Published worksheet after ASTM D341, with T = t + 273: A 9.5259, B 3.7449, 8.5 mm2/s at 80 deg C.
    const Walther line = walther(32e-6, 313, 5.4e-6, 373);
    CHECK(near(line.slope, 3.7449, 0, 1e-4));
    CHECK(near(line.y_40 + line.slope * std::log10(313.15), 9.5259, 0, 1e-4));
    CHECK(near(kinematic_viscosity(line, 353), 8.5e-6, 0, 0.05e-6));
  }

  TEST_CASE("reference: a spindle oil of 30 and 5.23 mm2/s at 60 deg C") {
    // Example table of an open Ubbelohde-Walther library: 14.525 mm2/s; its constant under the logarithm differs.
    CHECK(near(kinematic_viscosity(walther(30e-6, 313.15, 5.23e-6, 373.15), 333.15), 14.525e-6, 0.008, 0));
  }

  TEST_CASE("agreement: the inverse series printed in ASTM D341, to the 0.05 % it is good for") {
    const Walther line = walther(2.2e-6, 313.15, 0.95e-6, 373.15);
    for (double t = 293.15; t < 410; t += 10) {
      CAPTURE(t);
      const double z = std::pow(10, std::pow(10, line.y_40 - line.slope * std::log10(t / 313.15))) - 0.7;
      const double series = z - std::exp(-0.7487 - 3.295 * z + 0.6119 * z * z - 0.3193 * z * z * z);
      CHECK(near(kinematic_viscosity(line, t), 1e-6 * series, 5e-4, 0));
    }
  }

  TEST_CASE("limit: the line passes through its own two points, thin oils included") {
    const double pairs[][2] = {{150e-6, 14e-6}, {22e-6, 4.3e-6}, {4.6e-6, 1.6e-6}, {1.2e-6, 0.6e-6}};
    for (const auto& [a, b] : pairs) {
      const auto shown_a = a;   // clang 14 captures no structured binding
      CAPTURE(shown_a);
      const Walther line = walther(a, 313.15, b, 373.15);
      CHECK(near(kinematic_viscosity(line, 313.15), a, 1e-12, 0));
      CHECK(near(kinematic_viscosity(line, 373.15), b, 1e-12, 0));
    }
  }

  TEST_CASE("law: any two points of one line give that line again, and heat thins") {
    const Walther line = walther(46e-6, 313.15, 6.76e-6, 373.15);
    const Walther again = walther(kinematic_viscosity(line, 343), 343, kinematic_viscosity(line, 263), 263);
    CHECK(near(again.slope, line.slope, 1e-12, 0));
    CHECK(near(again.y_40, line.y_40, 1e-12, 0));
    for (double t = 234; t < 422; t += 2) CHECK(kinematic_viscosity(line, t) > kinematic_viscosity(line, t + 1));
  }
}
