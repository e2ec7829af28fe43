#include <chrono>

#include "evenstroke/flow/step_from.hpp"
#include "evenstroke/solver/rodas5p.hpp"
#include "segments.hpp"

namespace evenstroke::benchmark {

/// Rodas5P with sparse factors, each step seen from where it sets out, as in FlowEngine::advance.
Solver ours() {
  const auto solve = [](Segment& s, double rel_tol, long most_rhs) {
    Rodas5p<double> stepper(s.model->pattern(), s.abs_tol_at(rel_tol), rel_tol);
    const std::size_t n = s.size();
    std::vector<double> y(n, 0.0), sum(n), point(n);
    const std::vector<double> still(n, 0.0);
    Solved r;
    r.y.reserve(n * s.time_s.size());
    const auto begin = std::chrono::steady_clock::now();
    double t = 0, h = first_step_s;
    bool retry = false;
    std::size_t next = 0;
    while (next < s.time_s.size() && stepper.counts().rhs < most_rhs && h > 1e-16) {
      const double step = std::min(h, s.end_s() - t);
      StepFrom from(*s.model, y, sum);
      const StepResult<double> result = stepper.attempt(from, still.data(), step, retry);
      retry = !result.accepted;
      h = result.h_next;
      if (retry) continue;
      const double end = step < s.end_s() - t ? t + step : s.end_s();
      for (; next < s.time_s.size() && s.time_s[next] <= end; ++next) {
        stepper.dense((s.time_s[next] - t) / step, still.data(), point.data());
        for (std::size_t i = 0; i < n; ++i) r.y.push_back(y[i] + point[i]);
      }
      for (std::size_t i = 0; i < n; ++i) y[i] += stepper.new_state()[i];
      t = end;
    }
    r.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
    r.reached = next == s.time_s.size();
    const Counts& c = stepper.counts();
    r.work = {c.steps, c.rejected, c.rhs, c.jacobians, c.factorisations};
    return r;
  };
  return {"evenstroke Rodas5P", "sparse LU", solve};
}

}  // namespace evenstroke::benchmark
