// Odeint's integrate functions over our stepper.
#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <vector>

#include "evenstroke/solver/odeint_stepper.hpp"
#include "solver/problems.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using namespace evenstroke::problems;

namespace {

constexpr OdeintConcept concepts[] = {OdeintConcept::controlled, OdeintConcept::dense_output};

Vector even(double t_end, int gaps) {
  Vector t;
  for (int i = 0; i <= gaps; ++i) t.push_back(t_end * i / gaps);
  return t;
}

template <class S>
OdeintTask task_of(const S& system, Vector y0, Vector time_s, double tol) {
  const std::size_t n = y0.size();
  return {.pattern = system.pattern, .abs_tol = Vector(n, tol), .rel_tol = tol, .y0 = std::move(y0),
          .time_s = std::move(time_s), .h_s = 1e-4};
}

}  // namespace

TEST_SUITE("solver/odeint loops") {
  TEST_CASE("agreement: Odeint's adaptive loop takes the steps of our own loop, by either concept") {
    const auto same = [](auto system, const Vector& y0, double t_end, double tol) {
      OdeintTask task = task_of(system, y0, {0, t_end}, tol);
      Rodas5p<double> stepper(system.pattern, task.abs_tol, tol);
      const Run own = drive(stepper, system, y0, t_end, task.h_s);
      REQUIRE(!own.y.empty());
      for (OdeintConcept by : concepts) {
        task.by = by;
        const OdeintRun run = integrate_by_odeint(SystemRef(system), task);
        REQUIRE(run.outcome == Outcome::ok);
        CHECK(run.counts.steps == own.counts.steps);
        CHECK(run.counts.rejected == own.counts.rejected);
        CHECK(run.counts.jacobians == own.counts.jacobians);   // retries take the Jacobian over, here too
        CHECK(run.seen_s.size() == static_cast<std::size_t>(run.counts.steps) + 1);
        for (std::size_t i = 0; i < y0.size(); ++i) CHECK(near(run.y[i], own.y[i], 1e-13, 0));
      }
    };
    same(DetestD2{}, {1, 0, 0}, 40, 1e-7);
    same(VanDerPol{1e-6}, {2, 0}, 2, 1e-7);
    same(Spiral{-0.05, 6}, {1, 0}, 5, 1e-7);
  }

  TEST_CASE("reference: van der Pol's oscillator at t = 2") {
    // Test Set for IVP Solvers (F. Mazzia, C. Magherini, University of Bari), problem VDPOL with eps = 1e-6.
    VanDerPol system{1e-6};
    OdeintTask task = task_of(system, {2, 0}, {0, 2}, 1e-10);
    for (OdeintConcept by : concepts) {
      task.by = by;
      const OdeintRun run = integrate_by_odeint(SystemRef(system), task);
      REQUIRE(run.outcome == Outcome::ok);
      CHECK(near(run.y[0], 0.1706167732170483e1, 1e-8, 0));
      CHECK(near(run.y[1], -0.8928097010247975e0, 1e-8, 0));
    }
  }

  TEST_CASE("agreement: observed at given instants, a damped oscillator follows its closed form") {
    Spiral system{-0.05, 6};
    const Vector uneven = {0, 0.1, 0.15, 1.3, 1.31, 4, 5};
    for (OdeintLoop loop : {OdeintLoop::constant, OdeintLoop::times})
      for (OdeintConcept by : concepts) {
        OdeintTask task = task_of(system, {1, 0}, loop == OdeintLoop::times ? uneven : even(5, 50), 1e-8);
        task.loop = loop;
        task.by = by;
        const OdeintRun run = integrate_by_odeint(SystemRef(system), task);
        REQUIRE(run.outcome == Outcome::ok);
        REQUIRE(run.seen_s.size() == task.time_s.size());
        for (std::size_t i = 0; i < run.seen_s.size(); ++i) {
          const double t = task.time_s[i];
          CAPTURE(t);
          CHECK(near(run.seen_s[i], t, 1e-12, 0));
          CHECK(near(run.seen_y[i][0], std::exp(-0.05 * t) * std::cos(6 * t), 0, 1e-6));
          CHECK(near(run.seen_y[i][1], std::exp(-0.05 * t) * std::sin(6 * t), 0, 1e-6));
        }
        CHECK(run.y == run.seen_y.back());
      }
  }

  TEST_CASE("law: dense output does not cut steps at instants, the controlled stepper must") {
    Spiral system{-0.05, 6};
    OdeintTask task = task_of(system, {1, 0}, even(5, 500), 1e-6);
    task.loop = OdeintLoop::times;
    const long cut = integrate_by_odeint(SystemRef(system), task).counts.steps;
    task.by = OdeintConcept::dense_output;
    const long free = integrate_by_odeint(SystemRef(system), task).counts.steps;
    task.loop = OdeintLoop::adaptive;
    CHECK(cut >= 500);
    CHECK(free < 400);
    CHECK(free == integrate_by_odeint(SystemRef(system), task).counts.steps);
  }

  TEST_CASE("check: a law that turns into not-a-number ends every loop with a status and the last good state") {
    for (OdeintLoop loop : {OdeintLoop::adaptive, OdeintLoop::constant, OdeintLoop::times})
      for (OdeintConcept by : concepts) {
        Draining system;   // y = (1 - t/2)^2, empty at t = 2
        OdeintTask task = task_of(system, {1}, even(4, 16), 1e-6);
        task.loop = loop;
        task.by = by;
        const OdeintRun run = integrate_by_odeint(SystemRef(system), task);
        CHECK(run.outcome == Outcome::not_finite);
        CHECK(near(run.end_s, 2, 0, 1e-3));
        REQUIRE(run.y.size() == 1);
        CHECK(std::isfinite(run.y[0]));
        CHECK(run.counts.steps + run.counts.rejected < 2000);
        for (const Vector& y : run.seen_y) CHECK(std::isfinite(y[0]));
        CHECK_FALSE(system.asked_nan);
      }
  }

  TEST_CASE("check: attempts run out with a status") {
    Spiral system{0, 1e6};
    for (OdeintConcept by : concepts) {
      OdeintTask task = task_of(system, {1, 0}, {0, 5}, 1e-8);
      task.by = by;
      task.max_attempts = 100;
      const OdeintRun run = integrate_by_odeint(SystemRef(system), task);
      CHECK(run.outcome == Outcome::step_budget);
      CHECK(run.counts.steps + run.counts.rejected == 100);
      CHECK(run.end_s > 0);
      CHECK(run.end_s < 5);
    }
  }

  TEST_CASE("check: a last step that rounding carries past the end does not turn the dense loop for ever") {
    Spiral system{-1, 0};
    int found = 0;
    for (int i = 1; i < 4000 && found < 3; ++i) {
      const double end = 3 + 0.37 * i, start = end * (0.3 + 1e-5 * i);
      if (start + (end - start) <= end + std::numeric_limits<double>::epsilon()) continue;
      ++found;
      CAPTURE(end);
      OdeintTask task = task_of(system, {1, 0}, {start, end}, 1e-6);
      task.by = OdeintConcept::dense_output;
      task.h_s = 10 * end;   // so that the very first step is the last
      const OdeintRun run = integrate_by_odeint(SystemRef(system), task);
      CHECK(run.outcome == Outcome::ok);
      CHECK(near(run.y[0], std::exp(start - end), 0, 1e-4));
    }
    CHECK(found == 3);
  }

  TEST_CASE("check: instants, states and steps that make no sense are the caller's mistake") {
    Spiral system{-1, 0};
    const OdeintTask good = task_of(system, {1, 0}, {0, 1, 2}, 1e-6);
    const auto refused = [&](auto spoil) {
      OdeintTask task = good;
      spoil(task);
      CHECK_THROWS_AS(integrate_by_odeint(SystemRef(system), task), InputError);
    };
    refused([](OdeintTask& t) { t.time_s = {0}; });
    refused([](OdeintTask& t) { t.time_s = {0, 1, 1}; });
    refused([](OdeintTask& t) { t.time_s = {0, std::nan("")}; });
    refused([](OdeintTask& t) { t.y0 = {1}; });
    refused([](OdeintTask& t) { t.h_s = 0; });
    refused([](OdeintTask& t) { t.abs_tol = {1e-6}; });
    refused([](OdeintTask& t) {
      t.loop = OdeintLoop::constant;
      t.time_s = {0, 1, 3};
    });
    CHECK(integrate_by_odeint(SystemRef(system), good).outcome == Outcome::ok);
  }
}
