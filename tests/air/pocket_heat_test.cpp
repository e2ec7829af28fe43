#include "evenstroke/air/pocket_heat.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>

#include "evenstroke/base/constants.hpp"
#include "evenstroke/base/error.hpp"
#include "support/near.hpp"

using namespace evenstroke;

namespace {
constexpr double never = std::numeric_limits<double>::infinity();
}  // namespace

TEST_SUITE("air/pocket_heat") {
  TEST_CASE("limit: no time to cool is adiabatic, index 1.4") {
    for (const double p : {0.5e5, 2e5, 5e6, 1.2e7}) {
      CAPTURE(p);
      const double t = pocket_temperature_k(293, 293, p0_pa_abs, p, 3, never);
      CHECK(near(t / 293, std::pow(p / p0_pa_abs, 0.4 / 1.4), 1e-13, 0));
      CHECK(near(apparent_index(p0_pa_abs, 1, p, t / 293 * p0_pa_abs / p), 1.4, 1e-13, 0));
      CHECK(near(pocket_temperature_k(293, 293, p0_pa_abs, p, 3, 1e16), t, 1e-13, 0));
      CHECK(pocket_temperature_k(293, 293, p0_pa_abs, p, 0, 1) == t);  // a jump
    }
  }

  TEST_CASE("limit: all the time to cool is isothermal, index 1") {
    CHECK(pocket_temperature_k(700, 293, 1e5, 5e6, 1, 0) == 293);
    CHECK(pocket_temperature_k(700, 293, 1e5, 5e6, 0, 0) == 293);
    CHECK(pocket_temperature_k(700, 293, 1e5, 5e6, 1, 1e-320) == 293);
    CHECK(near(pocket_temperature_k(700, 293, 1e5, 5e6, 1, 1e-9), 293, 2e-9, 0));
    CHECK(near(pocket_temperature_k(700, 293, 1e6, 1e6, 1e6, 1), 293, 1e-14, 0));
    CHECK(near(apparent_index(1e5, 5, 5e5, 1), 1, 1e-15, 0));
  }

  TEST_CASE("agreement: the exact step against a march of the heat balance") {
    const double wall = 300, tau = 1.7, time = 4, from = 1e5, to = 60e5;
    const double rate = (1 - 1 / 1.4) * std::log(to / from) / time;
    const auto slope = [&](double t) { return rate * t - (t - wall) / tau; };
    double t = 280;
    constexpr int steps = 4000;
    const double h = time / steps;
    for (int i = 0; i < steps; ++i) {  // classical Runge-Kutta
      const double a = slope(t), b = slope(t + h / 2 * a), c = slope(t + h / 2 * b), d = slope(t + h * c);
      t += h / 6 * (a + 2 * b + 2 * c + d);
    }
    CHECK(near(pocket_temperature_k(280, wall, from, to, time, tau), t, 1e-12, 0));
  }

  TEST_CASE("balance: two half steps are one step") {
    for (const double tau : {1e-3, 0.3, 40.0}) {
      CAPTURE(tau);
      const double half = pocket_temperature_k(310, 293, 2e5, 6e5, 1, tau);
      CHECK(near(pocket_temperature_k(half, 293, 6e5, 18e5, 1, tau), pocket_temperature_k(310, 293, 2e5, 18e5, 2, tau),
                 1e-13, 0));
    }
  }

  TEST_CASE("law: whatever the step, the temperature stays positive and between the limits") {
    for (const double factor : {1e-6, 0.1, 1.0, 10.0, 1e6})
      for (double time = 1e-12; time < 1e12; time *= 10) {
        CAPTURE(factor);
        CAPTURE(time);
        const double t = pocket_temperature_k(293, 293, 1e5, factor * 1e5, time, 1);
        const double adiabatic = 293 * std::pow(factor, 0.4 / 1.4);
        CHECK(t > 0);
        CHECK(t >= std::fmin(293, adiabatic) * (1 - 1e-12));
        CHECK(t <= std::fmax(293, adiabatic) * (1 + 1e-12));
      }
    const double crossing = 1.4 / 0.4;  // A = t/tau, where the growth rate is 0: T = T0 + T_w t/tau
    CHECK(near(pocket_temperature_k(293, 293, 1e5, 1e5 * std::exp(crossing), 1, 1), 2 * 293, 1e-12, 0));
  }

  TEST_CASE("reference: air squeezed threefold without heat loss") {
    // I. A. Khan, Fluid Mechanics, Example 11.3, p. 421: 110 deg F to 320.2 deg F (0 deg F = 460 R there), 433.44 K
    CHECK(near(pocket_temperature_k(316.6666667, 300, 1e5, 3e5, 1, never), 433.44, 0, 0.02));
    // J. Sullivan, Fluid Power, Examples 12.4 and 12.5: gas bottles at n = 1 and 1.4 between the same pressures
    CHECK(near(apparent_index(13890867.5, 1, 20785624.8, 13890867.5 / 20785624.8), 1, 1e-12, 0));
  }

  TEST_CASE("check: thermal time") {
    // 4 mm bore at 50 bar: 1.6 s. 5.8 is the square of J0's first zero; conductivity 0.0257 W/(m K), 1005 J/(kg K) and
    // 1.204 kg/m3 of still air at 20 deg C (handbooks, from memory) give the diffusivity.
    CHECK(near(thermal_time_s(2e-3, 50e5), 1.6, 0, 0.05));
    CHECK(near(std::cyl_bessel_j(0, std::sqrt(5.8)), 0, 0, 2e-3));
    CHECK(near(1e-4 / (5.8 * thermal_time_s(1e-2, p0_pa_abs)), 0.0257 / (1.204 * 1005), 0.015, 0));
    CHECK(near(thermal_time_s(2e-3, 2e5) / thermal_time_s(1e-3, 1e5), 8, 1e-14, 0));
    CHECK(thermal_time_s(0, 1e5) == 0);
    // What is squeezed to 50 bar at once and then held loses two thirds of its volume as it cools.
    const double hot = pocket_temperature_k(293, 293, p0_pa_abs, 50e5, 0, 1.6);
    CHECK(near(1 - pocket_temperature_k(hot, 293, 50e5, 50e5, 100, 1.6) / hot, 0.67, 0, 0.005));
  }

  TEST_CASE("check: nothing changed, and nonsense") {
    CHECK(apparent_index(1e5, 2, 1e5, 2) == 1);
    CHECK(std::isinf(apparent_index(1e5, 2, 2e5, 2)));
    CHECK(apparent_index(1e5, 2, 1e5, 1) == 0);
    CHECK_THROWS_AS(thermal_time_s(-1, 1e5), InputError);
    CHECK_THROWS_AS(pocket_temperature_k(0, 293, 1e5, 1e5, 1, 1), InputError);
    CHECK_THROWS_AS(pocket_temperature_k(293, 293, 0, 1e5, 1, 1), InputError);
    CHECK_THROWS_AS(pocket_temperature_k(293, 293, 1e5, 1e5, -1, 1), InputError);
    CHECK_THROWS_AS(pocket_temperature_k(293, 293, 1e5, 1e5, 1, std::nan("")), InputError);
    CHECK_THROWS_AS(apparent_index(1e5, 0, 1e5, 1), InputError);
  }
}
