#include "support/dual.hpp"

#include <doctest/doctest.h>

#include "support/near.hpp"

using evenstroke::Dual;
using evenstroke::near;
using evenstroke::slope_of;

TEST_SUITE("support/dual") {
  TEST_CASE("derivative: the rules of calculus, against their closed forms") {
    const double x = 0.7;
    CHECK(near(slope_of([](auto t) { return t * t * t - 2.0 * t + 1.0; }, x), 3 * x * x - 2, 1e-14, 0));
    CHECK(near(slope_of([](auto t) { return 1.0 / t; }, x), -1 / (x * x), 1e-14, 0));
    CHECK(near(slope_of([](auto t) { return sqrt(t); }, x), 0.5 / std::sqrt(x), 1e-14, 0));
    CHECK(near(slope_of([](auto t) { return cbrt(t); }, x), std::pow(x, -2.0 / 3) / 3, 1e-14, 0));
    CHECK(near(slope_of([](auto t) { return exp(2.0 * t); }, x), 2 * std::exp(2 * x), 1e-14, 0));
    CHECK(near(slope_of([](auto t) { return log(t) + log10(t); }, x), (1 + 1 / std::log(10)) / x, 1e-14, 0));
    CHECK(near(slope_of([](auto t) { return sin(t) * cos(t); }, x), std::cos(2 * x), 1e-14, 0));
    CHECK(near(slope_of([](auto t) { return acos(cos(t)); }, x), 1, 1e-14, 0));
    CHECK(near(slope_of([](auto t) { return tanh(t); }, x), std::pow(std::cosh(x), -2), 1e-14, 0));
    CHECK(near(slope_of([](auto t) { return pow(t, 2.5); }, x), 2.5 * std::pow(x, 1.5), 1e-14, 0));
    CHECK(near(slope_of([](auto t) { return pow(t, t); }, x), std::pow(x, x) * (std::log(x) + 1), 1e-14, 0));
    CHECK(near(slope_of([](auto t) { return pow(Dual(2), t); }, x), std::pow(2, x) * std::log(2.0), 1e-14, 0));
    CHECK(slope_of([](auto t) { return abs(t); }, -x) == -1);
    CHECK(slope_of([](auto t) { return fmax(t, Dual(1)) + fmin(t, Dual(1)); }, x) == 1);
  }

  TEST_CASE("limit: constants have no slope, roots at zero included") {
    CHECK(sqrt(Dual(0)).d == 0);
    CHECK(pow(Dual(-2), 3).d == 0);
    CHECK((Dual(3) * 2 - 1).d == 0);
  }

  TEST_CASE("check: comparisons look at the value") {
    CHECK(Dual(1, 5) < Dual(2, -5));
    CHECK(Dual(1, 5) == Dual(1, 7));
    CHECK(Dual(2, 0) >= 2);
  }
}
