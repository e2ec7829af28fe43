#include "evenstroke/solver/crossing.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <numbers>

#include "support/near.hpp"

using namespace evenstroke;

namespace {

template <class F>
int evaluations(F g, double a, double b, double tol) {
  int count = 0;
  first_root([&](double x) { return ++count, g(x); }, a, b, tol);
  return count;
}

}  // namespace

TEST_SUITE("solver/crossing") {
  TEST_CASE("law: roots known in closed form, rising and falling, to the tolerance asked for") {
    for (double tol : {1e-3, 1e-6, 1e-12, 0.0}) {
      CAPTURE(tol);
      const double floor = 4e-14;  // four roundings of the far end, 40
      CHECK(near(first_root([](double x) { return x * x - 2; }, 0, 5, tol), std::numbers::sqrt2, 0, tol + floor));
      CHECK(near(first_root([](double x) { return std::cos(x); }, 0, 3, tol), std::numbers::pi / 2, 0, tol + floor));
      CHECK(near(first_root([](double x) { return 1 - std::exp(-x) - 0.5; }, -1, 40, tol), std::numbers::ln2, 0,
                 tol + floor));
    }
  }

  TEST_CASE("law: the answer is past the event: it has the sign of the far end, or is the root") {
    for (double root = 0.013; root < 1; root += 0.031)
      for (double sign : {1.0, -1.0}) {
        CAPTURE(root);
        auto g = [&](double x) { return sign * (std::atan(50 * (x - root)) + 0.1 * (x - root)); };
        const double x = first_root(g, 0, 1, 1e-6);
        CHECK(x >= root - 1e-15);
        CHECK(x <= root + 1e-6);
        CHECK(sign * g(x) >= 0);
      }
  }

  TEST_CASE("limit: a root at an end is that end") {
    CHECK(first_root([](double x) { return x - 1; }, 0, 1, 1e-9) == 1);
    CHECK(first_root([](double x) { return x; }, 0, 1, 1e-9) == 0);
  }

  TEST_CASE("limit: a jump is found like a crossing, on its far side") {
    const double x = first_root([](double t) { return t < 0.3 ? -1.0 : 1.0; }, 0, 1, 1e-9);
    CHECK(x >= 0.3);
    CHECK(near(x, 0.3, 0, 1e-9));
  }

  TEST_CASE("law: never more than two evaluations beyond bisection and its two ends") {
    const double tol = 1e-12;
    const int bisection = static_cast<int>(std::ceil(std::log2(2 / tol)));  // bracket of width 2
    for (int k = 1; k <= 21; k += 2) {  // flatter and flatter at the root
      CAPTURE(k);
      CHECK(evaluations([k](double x) { return std::pow(x - 0.1, k); }, -1, 1, tol) <= bisection + 4);
    }
    CHECK(evaluations([](double x) { return std::exp(40 * x) - 2; }, -1, 1, tol) <= bisection + 4);
    CHECK(evaluations([](double x) { return x < 0.77 ? -1e-300 : 1e300; }, -1, 1, tol) <= bisection + 4);
    CHECK(evaluations([](double x) { return x > 0.3 ? 1.0 : -1.0; }, -1e300, 1e300, 0) <= 100);
    CHECK(evaluations([](double x) { return x - 1e-300; }, -1, 1, 0) <= 100);
  }

  TEST_CASE("law: on a smooth crossing it is much faster than bisection") {
    CHECK(evaluations([](double x) { return std::exp(x) - 1.7; }, 0, 1, 1e-12) <= 12);
  }

  TEST_CASE("check: ends that do not bracket are refused; not-a-number inside stops at a point known to be past") {
    CHECK_THROWS_AS(first_root([](double x) { return x * x + 1; }, -1, 1, 1e-6), InputError);
    CHECK_THROWS_AS(first_root([](double x) { return x; }, 1, -1, 1e-6), InputError);
    CHECK_THROWS_AS(first_root([](double) { return std::nan(""); }, 0, 1, 1e-6), InputError);
    const double x = first_root([](double t) { return t > 0.5 && t < 0.9 ? std::nan("") : t - 0.4; }, 0, 1, 1e-9);
    CHECK(x >= 0.4);
    CHECK(x <= 1);
  }
}
