#include "evenstroke/solver/stepper.hpp"

#include <doctest/doctest.h>

#include <string>

#include "solver/problems.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using namespace evenstroke::problems;

TEST_SUITE("solver/stepper") {
  TEST_CASE("law: names and methods belong to each other") {
    for (Method m : {Method::rodas5p, Method::odeint_rosenbrock4}) CHECK(method_by_name(to_string(m)) == m);
    CHECK(std::string(to_string(Method::rodas5p)) == "rodas5p");
    CHECK(std::string(to_string(Method::odeint_rosenbrock4)) == "odeint_rosenbrock4");
  }

  TEST_CASE("check: an unknown name is refused and the nearest one suggested") {
    CHECK_THROWS_AS(method_by_name(""), InputError);
    CHECK_THROWS_WITH(method_by_name("rodas5"), doctest::Contains("did you mean rodas5p?"));
    CHECK_THROWS_WITH(method_by_name("odeint_rosenbrock"), doctest::Contains("did you mean odeint_rosenbrock4?"));
  }

  TEST_CASE("law: whichever is chosen does the work, to the bit") {
    TwoExponentials system;
    const Vector y = TwoExponentials::exact(0.3), tol(3, 1e-3);
    Stepper first(Method::rodas5p, system.pattern, tol, 0), second(Method::odeint_rosenbrock4, system.pattern, tol, 0);
    Rodas5p<double> own(system.pattern, tol, 0);
    OdeintRosenbrock4 other(system.pattern, tol, 0);
    const auto same = [&](Stepper& chosen, auto& plain) {
      const auto a = chosen.attempt(system, y.data(), 0.05), b = plain.attempt(system, y.data(), 0.05);
      REQUIRE(a.accepted);
      CHECK(a.h_next == b.h_next);
      CHECK(chosen.counts().rhs == plain.counts().rhs);
      Vector mid(3), plain_mid(3);
      chosen.dense(0.3, y.data(), mid.data());
      plain.dense(0.3, y.data(), plain_mid.data());
      CHECK(mid == plain_mid);
      for (int i = 0; i < 3; ++i) CHECK(chosen.new_state()[i] == plain.new_state()[i]);
    };
    same(first, own);
    same(second, other);
    CHECK(first.new_state()[0] != second.new_state()[0]);   // they are two formulas
  }

  TEST_CASE("check: tolerances are checked for either") {
    for (Method m : {Method::rodas5p, Method::odeint_rosenbrock4})
      CHECK_THROWS_AS(Stepper(m, make_pattern(2, {}), {1e-6}, 1e-6), InputError);
  }
}
