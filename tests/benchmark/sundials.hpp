#pragma once
#include <nvector/nvector_serial.h>
#include <sundials/sundials_linearsolver.h>
#include <sundials/sundials_matrix.h>

#include <memory>

#include "evenstroke/solver/sparse_lu.hpp"
#include "segments.hpp"

namespace evenstroke::benchmark {

/// What both integrators of SUNDIALS need of a segment: context, state, tolerances, the analytic Jacobian, and I - gamma J
/// factorised in full by SUNDIALS or by our sparse LU.
class SundialsProblem {
 public:
  SundialsProblem(Segment& segment, double rel_tol, bool sparse);
  ~SundialsProblem();
  SundialsProblem(const SundialsProblem&) = delete;
  SundialsProblem& operator=(const SundialsProblem&) = delete;

  static int rhs(realtype t, N_Vector y, N_Vector f, void* problem);
  static int jacobian(realtype t, N_Vector y, N_Vector f, SUNMatrix j, void* problem, N_Vector, N_Vector, N_Vector);

  Segment& segment;
  SUNContext context = nullptr;
  N_Vector y = nullptr, abs_tol = nullptr;
  SUNMatrix matrix = nullptr;
  SUNLinearSolver linear = nullptr;

 private:
  bool sparse_;
  std::vector<double> slot_;
};

/// Integrates by `step(t_out, &t)`, which returns SUNDIALS' own code, and keeps the states at the segment's times.
template <class Step>
Solved integrate(SundialsProblem& p, Step step);

}  // namespace evenstroke::benchmark

#include <chrono>

template <class Step>
evenstroke::benchmark::Solved evenstroke::benchmark::integrate(SundialsProblem& p, Step step) {
  Solved r;
  const std::size_t n = p.segment.size();
  r.y.reserve(n * p.segment.time_s.size());
  const auto begin = std::chrono::steady_clock::now();
  r.reached = true;
  for (const double out : p.segment.time_s) {
    realtype t = 0;
    if (step(out, &t) < 0) {
      r.reached = false;
      break;
    }
    const double* y = N_VGetArrayPointer(p.y);
    r.y.insert(r.y.end(), y, y + n);
  }
  r.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  return r;
}
