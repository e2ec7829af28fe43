#include "evenstroke/solver/odeint_stepper.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <utility>

namespace evenstroke {
namespace {

struct NotFinite {};                      // out of the middle of Odeint's step, which knows no other way
struct Stopped { Outcome outcome; };      // out of the middle of Odeint's loops, likewise

void demand_finite(const double* values, std::size_t count) {
  if (!all_finite(values, count)) throw NotFinite{};
}

}  // namespace

OdeintRosenbrock4::OdeintRosenbrock4(const Pattern& pattern, std::vector<double> abs_tol, double rel_tol)
    : pattern_(pattern), tolerances_(std::move(abs_tol), rel_tol, pattern.n), slot_(pattern.col.size()),
      formula_(static_cast<std::size_t>(pattern.n)) {}

StepResult<double> OdeintRosenbrock4::rejected(double error, double h_next, Reason reason) {
  was_rejected_ = true;
  ++counts_.rejected;
  return {false, error, h_next, reason};
}

StepResult<double> OdeintRosenbrock4::attempt_ref(SystemRef system, const double* y, double h, bool retry) {
  const std::size_t n = static_cast<std::size_t>(pattern_.n);
  check_step(h, system.size(), pattern_.n);
  OdeintSystem guarded;
  guarded.rhs = [&](const double* at, double* f) {
    demand_finite(at, n);
    ++counts_.rhs;
    system.rhs(at, f);   // what is not finite here is so in the next stage or in the estimate
  };
  guarded.jacobian = [&](const double* at, double* full) {
    ++counts_.jacobians;
    system.jacobian(at, slot_.data());
    demand_finite(slot_.data(), slot_.size());
    std::fill(full, full + n * n, 0.0);
    for (std::size_t row = 0; row < n; ++row)
      for (int s = pattern_.row_start[row]; s < pattern_.row_start[row + 1]; ++s) {
        const auto slot = static_cast<std::size_t>(s);
        full[row * n + static_cast<std::size_t>(pattern_.col[slot])] = slot_[slot];
      }
    ++counts_.factorisations;
  };

  const double unknown = std::numeric_limits<double>::infinity();
  try {
    if (!formula_.step(guarded, y, h)) return rejected(unknown, h / 4, Reason::pivot);
    demand_finite(formula_.new_state(), n);
    demand_finite(formula_.error(), n);
  } catch (const NotFinite&) {
    return rejected(unknown, h / 4, Reason::not_finite);
  }
  const double error = tolerances_.norm(formula_.error(), y, formula_.new_state());
  if (!std::isfinite(error)) return rejected(unknown, h / 4, Reason::not_finite);
  const double growth = step_factor(error, 4, retry && was_rejected_);   // the estimate is that of an order 3 formula
  if (error > 1) return rejected(error, h * growth, Reason::error_too_large);
  formula_.keep_dense();
  was_rejected_ = false;
  ++counts_.steps;
  return {true, error, h * growth, Reason::none};
}

OdeintRun integrate_by_odeint(SystemRef system, const OdeintTask& task) {
  const std::vector<double>& t = task.time_s;
  if (t.size() < 2 || !all_finite(t.data(), t.size()) || !std::is_sorted(t.begin(), t.end(), std::less_equal<>()))
    throw InputError("time_s", std::to_string(t.size()) + " values", "s", "needs two or more, finite and rising");
  const double longest = std::max(std::abs(t.front()), std::abs(t.back()));
  for (std::size_t i = 1; i < t.size() && task.loop == OdeintLoop::constant; ++i)
    if (std::abs(t[i] - t[i - 1] - (t[1] - t[0])) > 1e-12 * longest)
      throw InputError("time_s", std::to_string(t[i]), "s", "must be equally spaced for this loop");
  check_step(task.h_s, system.size(), task.pattern.n);
  if (task.y0.size() != static_cast<std::size_t>(task.pattern.n))
    throw InputError("y0", std::to_string(task.y0.size()) + " values", "", "needs one per state");

  Rodas5p<double> stepper(task.pattern, task.abs_tol, task.rel_tol);
  const double floor_s = 16 * std::numeric_limits<double>::epsilon() * longest;
  long left = task.max_attempts;
  OdeintGuest guest{task.y0, t.front(), {}, {}};
  guest.attempt = [&](const double* y, double& h, bool retry, double* y_new) {
    if (left-- <= 0) throw Stopped{Outcome::step_budget};
    const StepResult<double> r = stepper.attempt(system, y, h, retry);
    h = r.h_next;
    if (r.accepted) std::copy_n(stepper.new_state(), task.y0.size(), y_new);
    else if (h < floor_s)
      throw Stopped{r.reason == Reason::pivot ? Outcome::pivot
                    : r.reason == Reason::not_finite ? Outcome::not_finite : Outcome::step_too_small};
    return r.accepted;
  };
  guest.dense = [&](double s, const double* y_old, double* out) { stepper.dense(s, y_old, out); };

  OdeintRun run;
  const auto see = [&run](const std::vector<double>& y, double at_s) {
    run.seen_s.push_back(at_s);
    run.seen_y.push_back(y);
  };
  try {
    run.y = odeint_loop(guest, task.loop, task.by, t, task.h_s, see);
    run.end_s = t.back();
  } catch (const Stopped& stopped) {
    run.outcome = stopped.outcome;
    run.end_s = guest.t;
    run.y = guest.y;
  }
  run.counts = stepper.counts();
  return run;
}

}  // namespace evenstroke
