#include <boost/numeric/odeint/stepper/controlled_runge_kutta.hpp>
#include <boost/numeric/odeint/stepper/dense_output_runge_kutta.hpp>
#include <boost/numeric/odeint/stepper/generation.hpp>
#include <boost/numeric/odeint/stepper/rosenbrock4.hpp>
#include <boost/numeric/odeint/stepper/rosenbrock4_controller.hpp>
#include <boost/numeric/odeint/stepper/rosenbrock4_dense_output.hpp>
#include <boost/numeric/odeint/stepper/runge_kutta_dopri5.hpp>
#include <boost/numeric/odeint/stepper/generation/generation_rosenbrock4.hpp>
#include <chrono>
#include <cmath>
#include <stdexcept>

#include "rivals_odeint.hpp"

namespace evenstroke::benchmark {
namespace {

namespace odeint = boost::numeric::odeint;
namespace ublas = boost::numeric::ublas;

struct Enough : std::runtime_error {
  Enough() : std::runtime_error("") {}
};

/// Counts, and ends what Odeint would never end: it accepts not-a-number or shrinks its steps for ever.
struct Guard {
  const OdeintProblem& problem;
  long most_rhs;
  OdeintSolution& solution;

  void rhs(const double* y, double* f) const {
    if (++solution.rhs > most_rhs || !std::isfinite(y[0])) throw Enough();
    problem.rhs(y, f);
  }
};

template <class State, class Stepper, class System>
void drive(const OdeintProblem& p, Stepper stepper, System system, OdeintSolution& s) {
  State y(p.size), point(p.size);
  std::fill(y.begin(), y.end(), 0.0);
  s.y.reserve(p.size * p.time_s.size());
  const auto begin = std::chrono::steady_clock::now();
  try {
    stepper.initialize(y, 0.0, p.first_step_s);
    for (std::size_t next = 0; next < p.time_s.size();) {
      stepper.do_step(system);
      ++s.steps;
      for (; next < p.time_s.size() && p.time_s[next] <= stepper.current_time(); ++next) {
        stepper.calc_state(p.time_s[next], point);
        s.y.insert(s.y.end(), point.begin(), point.end());
      }
    }
    s.reached = true;
  } catch (const std::runtime_error&) {   // Enough, a singular matrix, or Odeint's own limit of failed steps in a row
  }
  s.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
}

}  // namespace

OdeintSolution odeint_rosenbrock4(const OdeintProblem& p, double tolerance, long most_rhs) {
  using Vector = ublas::vector<double>;
  OdeintSolution s;
  const Guard guard{p, most_rhs, s};
  const auto rhs = [guard](const Vector& y, Vector& f, double) { guard.rhs(&y[0], &f[0]); };
  const auto jacobian = [&p, &s](const Vector& y, ublas::matrix<double>& full, double, Vector& df_dt) {
    ++s.jacobians;
    p.jacobian(&y[0], &full.data()[0]);
    df_dt.clear();
  };
  const auto stepper = odeint::make_dense_output<odeint::rosenbrock4<double>>(tolerance, tolerance);
  drive<Vector>(p, stepper, std::make_pair(rhs, jacobian), s);
  return s;
}

OdeintSolution odeint_dopri5(const OdeintProblem& p, double tolerance, long most_rhs) {
  using Vector = std::vector<double>;
  OdeintSolution s;
  const Guard guard{p, most_rhs, s};
  const auto rhs = [guard](const Vector& y, Vector& f, double) { guard.rhs(y.data(), f.data()); };
  drive<Vector>(p, odeint::make_dense_output(tolerance, tolerance, odeint::runge_kutta_dopri5<Vector>()), rhs, s);
  return s;
}

}  // namespace evenstroke::benchmark
