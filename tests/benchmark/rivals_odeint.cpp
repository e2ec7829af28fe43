#include "rivals_odeint.hpp"

#include <algorithm>

#include "segments.hpp"

namespace evenstroke::benchmark {
namespace {

/// Odeint knows one tolerance for all states. It is given states over their units, so that one is as fair to each as
/// the tolerances of the others are.
template <class Method>
Solved solve(Segment& s, double rel_tol, long most_rhs, Method method) {
  const std::size_t n = s.size();
  const Pattern& pattern = s.model->pattern();
  std::vector<double> unit = s.abs_tol, y(n), slot(pattern.col.size());
  for (double& u : unit) u /= s.base_rel_tol;
  const auto unscaled = [&](const double* z) {
    for (std::size_t i = 0; i < n; ++i) y[i] = z[i] * unit[i];
    return y.data();
  };
  OdeintProblem p;
  p.size = n;
  p.first_step_s = first_step_s;
  p.time_s = s.time_s;
  p.rhs = [&](const double* z, double* f) {
    s.model->rhs(unscaled(z), f);
    for (std::size_t i = 0; i < n; ++i) f[i] /= unit[i];
  };
  p.jacobian = [&](const double* z, double* full) {
    s.model->jacobian(unscaled(z), slot.data());
    std::fill_n(full, n * n, 0.0);
    for (std::size_t row = 0; row < n; ++row)
      for (int k = pattern.row_start[row]; k < pattern.row_start[row + 1]; ++k) {
        const auto col = static_cast<std::size_t>(pattern.col[static_cast<std::size_t>(k)]);
        full[row * n + col] = slot[static_cast<std::size_t>(k)] * unit[col] / unit[row];
      }
  };
  const OdeintSolution o = method(p, rel_tol, most_rhs);
  Solved r{o.reached, o.y, o.seconds, {o.steps, std::max(0L, o.jacobians - o.steps), o.rhs, o.jacobians, o.jacobians}};
  for (std::size_t i = 0; i < r.y.size(); ++i) r.y[i] *= unit[i % n];
  return r;
}

}  // namespace

std::vector<Solver> odeint() {
  const auto by = [](auto method) {
    return [method](Segment& s, double rel_tol, long most) { return solve(s, rel_tol, most, method); };
  };
  return {{"Odeint rosenbrock4", "dense LU", by(odeint_rosenbrock4)}, {"Odeint dopri5", "explicit", by(odeint_dopri5)}};
}

}  // namespace evenstroke::benchmark
