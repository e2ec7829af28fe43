// Whole integrations against solutions that others published or that are known in closed form.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "evenstroke/solver/rodas5p.hpp"
#include "solver/problems.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using namespace evenstroke::problems;

namespace {

/// To t_end with Rodas5P; Run::y is empty when that took too many attempts.
template <class S>
Run integrate(S& system, Vector y, double t_end, Vector abs_tol, double rel_tol, double h) {
  Rodas5p<double> stepper(system.pattern, std::move(abs_tol), rel_tol);
  const Run run = drive(stepper, system, std::move(y), t_end, h);
  REQUIRE(!run.y.empty());
  return run;
}

}  // namespace

TEST_SUITE("solver/rodas5p problems") {
  TEST_CASE("reference: Robertson's problem at t = 40") {
    // Solution of STIFF DETEST problem D2: W. H. Enright, J. D. Pryce, ACM Trans. Math. Softw. 13(1), 1987, Algorithm
    // 648. Multiplied by 1, 1e-4, 1e-2 it is Robertson's 0.71583, 9.1855e-6, 0.28416.
    const double expected[] = {7.158270687193941e-01, 9.185534764557338e-02, 2.841637457458413e+01};
    DetestD2 system;
    const Run run = integrate(system, {1, 0, 0}, 40, {1e-10, 1e-11, 1e-8}, 1e-9, 1e-6);
    for (std::size_t i = 0; i < 3; ++i) CHECK(near(run.y[i], expected[i], 1e-9, 0));
    CHECK(near(run.y[0] + 1e-4 * run.y[1] + 1e-2 * run.y[2], 1.0, 1e-11, 0));  // mass is kept

    const Run rough = integrate(system, {1, 0, 0}, 40, {1e-5, 1e-6, 1e-3}, 1e-4, 1e-6);
    for (std::size_t i = 0; i < 3; ++i) CHECK(near(rough.y[i], expected[i], 1e-3, 0));
    CHECK(rough.counts.steps < 100);
  }

  TEST_CASE("reference: HIRES at t = 321.8122") {
    // Test Set for IVP Solvers (F. Mazzia, C. Magherini, University of Bari), problem HIRES, its reference solution.
    const double expected[] = {0.7371312573325668e-3, 0.1442485726316185e-3, 0.5888729740967575e-4,
                               0.1175651343283149e-2, 0.2386356198831331e-2, 0.6238968252742796e-2,
                               0.2849998395185769e-2, 0.2850001604814231e-2};
    Hires system;
    Vector y0(8, 0.0);
    y0[0] = 1;
    y0[7] = 0.0057;
    const Run run = integrate(system, y0, 321.8122, Vector(8, 1e-13), 1e-10, 1e-5);
    for (std::size_t i = 0; i < 8; ++i) {
      CAPTURE(i);
      CHECK(near(run.y[i], expected[i], 1e-7, 0));
    }
  }

  TEST_CASE("agreement: a stiff linear chain follows its closed form at every tolerance") {
    const Chain chain(40, 1e5);
    const double t_end = 1e-3;  // fastest rate times time: 400; slowest: 0.6
    const Vector exact = chain.exact(t_end);
    double previous = 1;
    for (double tol : {1e-4, 1e-6, 1e-8}) {
      CAPTURE(tol);
      Chain system = chain;
      const Run run = integrate(system, chain.exact(0), t_end, Vector(40, tol), tol, 1e-8);
      double worst = 0;
      for (std::size_t i = 0; i < 40; ++i) worst = std::max(worst, std::abs(run.y[i] - exact[i]));
      CHECK(worst < 10 * tol);
      CHECK(worst < previous);
      previous = worst;
    }
  }

  TEST_CASE("limit: a drained mode costs nothing: long after the transient the steps grow without bound") {
    Chain system(20, 1e6);
    const Run run = integrate(system, system.exact(0), 1e6, Vector(20, 1e-6), 1e-6, 1e-9);
    for (double y : run.y) CHECK(near(y, 0, 0, 1e-6));
    CHECK(run.counts.steps < 200);
  }
}
