#include "evenstroke/solver/odeint_stepper.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "solver/problems.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using namespace evenstroke::problems;

namespace {

std::size_t at(int i) { return static_cast<std::size_t>(i); }

OdeintRosenbrock4 loose(const Pattern& p) { return OdeintRosenbrock4(p, Vector(at(p.n), 1.0), 0.0); }

double global_error(int steps) {
  TwoExponentials system;
  auto stepper = loose(system.pattern);
  Vector y = TwoExponentials::exact(0);
  for (int i = 0; i < steps; ++i) {
    REQUIRE(stepper.attempt(system, y.data(), 1.0 / steps).accepted);
    y.assign(stepper.new_state(), stepper.new_state() + 3);
  }
  return std::abs(y[0] - TwoExponentials::exact(1)[0]);
}

/// Both steppers at the same tolerances; compares the ends, in units of `scale`.
template <class S>
void compare(S system, const Vector& y0, double t_end, const Vector& abs_tol, double rel_tol, double allowed,
             const Vector& scale) {
  Rodas5p<double> own(system.pattern, abs_tol, rel_tol);
  OdeintRosenbrock4 other(system.pattern, abs_tol, rel_tol);
  const Run a = drive(own, system, y0, t_end, 1e-6 * t_end), b = drive(other, system, y0, t_end, 1e-6 * t_end);
  REQUIRE(!a.y.empty());
  REQUIRE(!b.y.empty());
  for (std::size_t i = 0; i < y0.size(); ++i) {
    CAPTURE(i);
    CHECK(near(b.y[i], a.y[i], 0, allowed * scale[i]));
    CHECK(b.y[i] != a.y[i]);   // two formulas that agree, not one compared with itself
  }
}

}  // namespace

TEST_SUITE("solver/odeint_stepper") {
  TEST_CASE("order: global error falls with the fourth power of the step") {
    for (int steps : {32, 64}) {
      CAPTURE(steps);
      CHECK(near(std::log2(global_error(steps) / global_error(2 * steps)), 4.0, 0, 0.3));
    }
  }

  TEST_CASE("order: estimate and dense output have order 3, so their error in one step is fourth order") {
    TwoExponentials system;
    auto stepper = loose(system.pattern);
    const double t = 0.7;
    const Vector y = TwoExponentials::exact(t);
    double estimate[2], dense[2];
    for (int i : {0, 1}) {
      const double h = i == 0 ? 0.01 : 0.005;
      const auto r = stepper.attempt(system, y.data(), h);
      REQUIRE(r.accepted);
      estimate[i] = r.error;
      dense[i] = 0;
      for (double s : {0.2, 0.4, 0.6, 0.8}) {
        Vector out(3);
        stepper.dense(s, y.data(), out.data());
        dense[i] = std::max(dense[i], std::abs(out[0] - TwoExponentials::exact(t + s * h)[0]));
      }
    }
    CHECK(near(std::log2(estimate[0] / estimate[1]), 4.0, 0, 0.35));
    CHECK(near(std::log2(dense[0] / dense[1]), 4.0, 0, 0.35));
  }

  TEST_CASE("limit: dense output meets both ends of the step") {
    TwoExponentials system;
    auto stepper = loose(system.pattern);
    const Vector y = TwoExponentials::exact(0.5);
    REQUIRE(stepper.attempt(system, y.data(), 0.1).accepted);
    Vector out(3);
    stepper.dense(0, y.data(), out.data());
    CHECK(out == y);
    stepper.dense(1, y.data(), out.data());
    CHECK(out == Vector(stepper.new_state(), stepper.new_state() + 3));
  }

  TEST_CASE("reference: Robertson's problem at t = 40 and HIRES at t = 321.8122") {
    // Sources as in rodas5p_problems_test.cpp: STIFF DETEST problem D2 (Enright and Pryce 1987, Algorithm 648);
    // Test Set for IVP Solvers (University of Bari), problem HIRES.
    const double d2_end[] = {7.158270687193941e-01, 9.185534764557338e-02, 2.841637457458413e+01};
    DetestD2 d2;
    OdeintRosenbrock4 stepper(d2.pattern, {1e-9, 1e-10, 1e-7}, 1e-8);
    const Run run = drive(stepper, d2, {1, 0, 0}, 40, 1e-6);
    REQUIRE(!run.y.empty());
    for (std::size_t i = 0; i < 3; ++i) CHECK(near(run.y[i], d2_end[i], 1e-7, 0));

    const double hires_end[] = {0.7371312573325668e-3, 0.1442485726316185e-3, 0.5888729740967575e-4,
                                0.1175651343283149e-2, 0.2386356198831331e-2, 0.6238968252742796e-2,
                                0.2849998395185769e-2, 0.2850001604814231e-2};
    Hires hires;
    OdeintRosenbrock4 other(hires.pattern, Vector(8, 1e-12), 1e-9);
    const Run plants = drive(other, hires, {1, 0, 0, 0, 0, 0, 0, 0.0057}, 321.8122, 1e-5);
    REQUIRE(!plants.y.empty());
    for (std::size_t i = 0; i < 8; ++i) CHECK(near(plants.y[i], hires_end[i], 1e-6, 0));
  }

  TEST_CASE("agreement: two formulas of different make end at the same place, to a millionth of each state's size") {
    compare(DetestD2{}, {1, 0, 0}, 40, {1e-9, 1e-10, 1e-7}, 1e-8, 1e-6, {1, 0.1, 30});
    compare(Hires{}, {1, 0, 0, 0, 0, 0, 0, 0.0057}, 321.8122, Vector(8, 1e-11), 1e-8, 1e-6, Vector(8, 1e-3));
    compare(VanDerPol{1e-6}, {2, 0}, 2, {1e-9, 1e-9}, 1e-8, 1e-6, {1, 1});
    const Chain chain(40, 1e5);
    compare(chain, chain.exact(0), 1e-3, Vector(40, 1e-8), 1e-8, 1e-6, Vector(40, 1.0));
  }

  TEST_CASE("law: each state has its own tolerance: units of one state change nothing of the steps") {
    struct TwoUnits {   // two decays that do not know each other, the second counted in a unit of its own
      double unit;
      Pattern pattern = make_pattern(2, {});
      int size() const { return 2; }
      void rhs(const double* y, double* f) const {
        f[0] = -y[0] * y[0];
        f[1] = -y[1] * y[1] / unit;
      }
      void jacobian(const double* y, double* v) const {
        v[0] = -2 * y[0];
        v[1] = -2 * y[1] / unit;
      }
    };
    long steps[2];
    for (int i : {0, 1}) {
      TwoUnits system{i == 0 ? 1.0 : std::ldexp(1.0, 40)};
      OdeintRosenbrock4 stepper(system.pattern, {1e-8, 1e-8 * system.unit}, 1e-7);
      const Run run = drive(stepper, system, {1, 2 * system.unit}, 10, 1e-3);
      REQUIRE(!run.y.empty());
      CHECK(near(run.y[0], 1.0 / 11, 1e-5, 0));
      CHECK(near(run.y[1] / system.unit, 2.0 / 21, 1e-5, 0));
      steps[i] = run.counts.steps;
    }
    CHECK(steps[0] == steps[1]);
  }

  TEST_CASE("check: not-a-number is rejected wherever it comes from, is never asked about, and the retry succeeds") {
    Draining system;
    OdeintRosenbrock4 stepper(system.pattern, {1e-3}, 1e-3);
    const double inside = 1, outside = -1, edge = 0;
    for (const double* y : {&outside, &edge}) {   // f is NaN; f is finite and the Jacobian infinite
      const auto r = stepper.attempt(system, y, 0.1);
      CHECK_FALSE(r.accepted);
      CHECK(r.reason == Reason::not_finite);
      CHECK(r.h_next == 0.1 / 4);
    }
    auto r = stepper.attempt(system, &inside, 8.0);   // some stage lands below zero
    CHECK_FALSE(r.accepted);
    CHECK(r.reason == Reason::not_finite);
    for (int tries = 0; !r.accepted && tries < 20; ++tries) r = stepper.attempt(system, &inside, r.h_next, true);
    CHECK(r.accepted);
    CHECK(stepper.counts().steps == 1);
    CHECK_FALSE(system.asked_nan);
  }

  TEST_CASE("check: a law that ends in not-a-number ends the run, with few attempts and no state beyond the end") {
    Draining system;   // empty at t = 2; beyond that there is no answer
    OdeintRosenbrock4 stepper(system.pattern, {1e-6}, 1e-6);
    const Run run = drive(stepper, system, {1}, 3, 0.01);
    CHECK(run.y.empty());
    CHECK(run.counts.steps + run.counts.rejected < 2000);
    CHECK_FALSE(system.asked_nan);
  }

  TEST_CASE("check: a stage that overflows is rejected before the law sees it") {
    struct Steep {
      double most = 0;
      int size() const { return 1; }
      void rhs(const double* y, double* f) {
        most = std::max(most, std::abs(y[0]));
        f[0] = 1e300;
      }
      void jacobian(const double*, double* v) const { v[0] = 0; }
    } system;
    OdeintRosenbrock4 stepper(make_pattern(1, {}), {1.0}, 1e-6);
    const double y = std::numeric_limits<double>::max();
    const auto r = stepper.attempt(system, &y, 1.0);
    CHECK_FALSE(r.accepted);
    CHECK(r.reason == Reason::not_finite);
    CHECK(system.most == y);
  }

  TEST_CASE("law: the controller knows the order: a retry lands at 0.9 to the fourth power of the tolerance") {
    TwoExponentials system;
    OdeintRosenbrock4 stepper(system.pattern, Vector(3, 1e-9), 0.0);
    const Vector y = TwoExponentials::exact(0.7);
    const auto first = stepper.attempt(system, y.data(), 0.01);
    REQUIRE(first.reason == Reason::error_too_large);
    REQUIRE(first.error < 600);
    const auto second = stepper.attempt(system, y.data(), first.h_next, true);
    CHECK(second.accepted);
    CHECK(near(second.error, std::pow(0.9, 4), 0.05, 0));
    CHECK(second.h_next <= first.h_next);   // no growth right after a rejection
  }

  TEST_CASE("check: a step whose matrix is singular is rejected for its pivot") {
    const double h = 0.5;
    Spiral system{1 / (h * 0.25), 0};   // gamma of this formula is a quarter
    auto stepper = loose(system.pattern);
    const double y[] = {1, 0};
    const auto r = stepper.attempt(system, y, h);
    CHECK_FALSE(r.accepted);
    CHECK(r.reason == Reason::pivot);
    CHECK(r.h_next == h / 4);
  }

  TEST_CASE("check: step and system that make no sense are the caller's mistake") {
    Draining system;
    auto stepper = loose(system.pattern);
    const double y = 1;
    for (double h : {0.0, -1.0, std::nan(""), std::numeric_limits<double>::infinity()})
      CHECK_THROWS_AS(stepper.attempt(system, &y, h), InputError);
    Spiral two{-1, 0};
    CHECK_THROWS_AS(stepper.attempt(two, &y, 0.1), InputError);
  }
}
