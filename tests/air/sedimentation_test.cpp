#include "evenstroke/air/sedimentation.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "evenstroke/air/bubble.hpp"
#include "evenstroke/base/constants.hpp"
#include "evenstroke/base/error.hpp"
#include "support/near.hpp"

using namespace evenstroke;

TEST_SUITE("air/sedimentation") {
  TEST_CASE("agreement: still oil, bubbles followed one by one") {
    const double u = 0.7e-3, h = 0.08;
    for (const double t : {0.0, 20.0, 60.0, 200.0}) {
      CAPTURE(t);
      int below = 0;
      constexpr int n = 10000;
      for (int i = 0; i < n; ++i) below += h * (i + 0.5) / n + u * t < h;
      CHECK(near(still_share(u, h, t), static_cast<double>(below) / n, 0, 1.0 / n));
    }
    CHECK(still_share(u, 0, 1) == 0);
    CHECK(still_share(0, h, 1e9) == 1);
    CHECK(still_share(u, 0, 0) == 1);
  }

  TEST_CASE("agreement: a vessel in plug flow, bubbles followed one by one; its depth does not matter") {
    const double u = 0.4e-3, length = 0.2, width = 0.05, q = 1e-3 / 60;
    for (const double depth : {0.02, 0.1}) {
      CAPTURE(depth);
      const double stay = length * width * depth / q;
      int out = 0;
      constexpr int n = 10000;
      for (int i = 0; i < n; ++i) out += depth * (i + 0.5) / n + u * stay >= depth;
      CHECK(near(flow_through_removal(u, length * width, q), static_cast<double>(out) / n, 0, 1.0 / n));
    }
    CHECK(flow_through_removal(u, 0.01, 0) == 1);
    CHECK(flow_through_removal(1, 0.01, q) == 1);
    CHECK(flow_through_removal(0, 0.01, q) == 0);
  }

  TEST_CASE("check: 1 L/min over 100 cm2, 32 mm2/s") {
    // Hazen's share with Stokes' speed, by hand: g d^2/(18 nu) A/Q = 0.102 and 0.408 at 0.1 and 0.2 mm; inertia takes
    // another 0.3 % off the larger one. 0.5 mm: all.
    const double q = 1e-3 / 60, mu = 860 * 32e-6;
    const auto removal = [&](double d) { return flow_through_removal(bubble_rise_m_per_s(d, mu, 860), 0.01, q); };
    CHECK(near(removal(0.1e-3), 0.102, 0, 0.0005));
    CHECK(near(removal(0.2e-3), 0.408, 0.004, 0));
    CHECK(removal(0.5e-3) == 1);
  }

  TEST_CASE("law: pull-through") {
    // h_c^5 g/Q^2 is the one group of the problem; 0.69 (Lubin and Springer 1967, from memory)
    for (const double q : {1e-6, -1e-5, 1e-4}) {
      const double h = pull_through_m(0.69, q);
      CHECK(near(std::pow(h, 5) * gravity_m_per_s2 / (q * q), std::pow(0.69, 5), 1e-12, 0));
    }
    CHECK(near(pull_through_m(0.69, 0.25e-3 / 60), 3.1e-3, 0, 0.05e-3));
    CHECK(near(pull_through_m(0.69, 1e-3 / 60), 5.4e-3, 0, 0.05e-3));
    CHECK(pull_through_m(0, 1) == 0);
    CHECK(pull_through_m(0.69, 0) == 0);
  }

  TEST_CASE("limit: a slow jet draws nothing under, a fast one its coefficient") {
    CHECK(plunge_entrainment(0, 1, 0.1) == 0);
    CHECK(plunge_entrainment(1, 1, 0.1) == 0);
    CHECK(near(plunge_entrainment(2, 1, 0.1), 0.05, 1e-15, 0));
    CHECK(near(plunge_entrainment(1e9, 1, 0.1), 0.1, 1e-8, 0));
    CHECK(near(plunge_entrainment(1 + 1e-9, 1, 0.1), 0, 0, 1.1e-10));
  }

  TEST_CASE("check: nonsense is refused") {
    CHECK_THROWS_AS(still_share(-1, 1, 1), InputError);
    CHECK_THROWS_AS(still_share(1, 1, std::nan("")), InputError);
    CHECK_THROWS_AS(flow_through_removal(1, 1, -1), InputError);
    CHECK_THROWS_AS(flow_through_removal(1, -1, 1), InputError);
    CHECK_THROWS_AS(pull_through_m(-0.1, 1), InputError);
    CHECK_THROWS_AS(pull_through_m(0.1, std::nan("")), InputError);
    CHECK_THROWS_AS(plunge_entrainment(-1, 1, 0.1), InputError);
  }
}
