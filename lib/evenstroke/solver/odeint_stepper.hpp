#pragma once
#include <string>
#include <vector>

#include "evenstroke/base/status.hpp"
#include "evenstroke/solver/odeint.hpp"
#include "evenstroke/solver/system_ref.hpp"

namespace evenstroke {

/// Rosenbrock4 of Boost.Odeint (the formula RODAS of Hairer and Wanner, order 4, estimate and dense output of order 3,
/// L-stable) under the contract of Rodas5p: another formula in another's code, to compare with. Slow: full matrices.
///
/// Only Odeint's step is used. Its controller knows one absolute tolerance for all states, useless where cubic metres
/// stand beside metres, and lets not-a-number through or shrinks for ever; so the error it estimates is judged by the
/// norm and the rule of Rodas5p, without memory of earlier steps. A value that is not finite, in f, the Jacobian, a
/// stage, the new state or the estimate, is a rejection; f is never asked at a state that is not finite. The Jacobian
/// is taken anew at every attempt.
class OdeintRosenbrock4 {
 public:
  /// As Rodas5p: one absolute tolerance per state.
  OdeintRosenbrock4(const Pattern& pattern, std::vector<double> abs_tol, double rel_tol);

  template <class S>
    requires AutonomousSystem<S, double>
  StepResult<double> attempt(S& system, const double* y, double h, bool retry = false) {
    return attempt_ref(SystemRef(system), y, h, retry);
  }
  StepResult<double> attempt_ref(SystemRef system, const double* y, double h, bool retry);

  const double* new_state() const { return formula_.new_state(); }
  /// Odeint's own interpolation formula, at the fraction s of the last accepted step; y is that step's starting state.
  void dense(double s, const double* y, double* out) const { formula_.dense(s, y, out); }
  const Counts& counts() const { return counts_; }

 private:
  StepResult<double> rejected(double error, double h_next, Reason reason);

  Pattern pattern_;
  Tolerances<double> tolerances_;
  std::vector<double> slot_;        // Jacobian in slot order
  mutable OdeintFormula formula_;   // its dense output needs room to work in
  Counts counts_;
  bool was_rejected_ = false;
};

struct OdeintTask {
  Pattern pattern;
  std::vector<double> abs_tol;      ///< one per state
  double rel_tol = 1e-6;
  std::vector<double> y0, time_s;   ///< two or more rising instants; `adaptive` uses the ends, `constant` equal gaps
  double h_s = 1e-6;                ///< first step; `constant` starts with the gap, as Odeint does
  OdeintLoop loop = OdeintLoop::adaptive;
  OdeintConcept by = OdeintConcept::controlled;
  long max_attempts = 1000000;
};

struct OdeintRun {
  Outcome outcome = Outcome::ok;
  double end_s = 0;                              ///< time of `y`
  std::vector<double> y;                         ///< last state; when stopped early, the last that was accepted
  std::vector<double> seen_s;                    ///< what Odeint showed its observer
  std::vector<std::vector<double>> seen_y;
  Counts counts;
};

/// Boost.Odeint's own integrate functions over OUR stepper, Rodas5p<double>, as a controlled stepper or one with dense
/// output. Ends with a status when the step shrinks below the rounding of time or the attempts run out; Odeint alone
/// would go on, or keep not-a-number. InputError for a task that makes no sense.
OdeintRun integrate_by_odeint(SystemRef system, const OdeintTask& task);

}  // namespace evenstroke
