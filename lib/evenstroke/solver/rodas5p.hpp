#pragma once
#include <algorithm>
#include <concepts>
#include <cstddef>
#include <limits>
#include <type_traits>
#include <utility>
#include <vector>

#include "evenstroke/solver/dense_lu.hpp"
#include "evenstroke/solver/pattern.hpp"
#include "evenstroke/solver/rodas5p_table.hpp"
#include "evenstroke/solver/sparse_lu.hpp"
#include "evenstroke/solver/step_control.hpp"

namespace evenstroke {

/// y' = f(y) without explicit time; times known beforehand (valve ramps, phases) are ends of integration segments.
/// `jacobian` writes every slot of the pattern, in slot order; it may write NaN, which the stepper rejects.
template <class S, class T>
concept AutonomousSystem = requires(S& system, const T* y, T* out) {
  { system.size() } -> std::convertible_to<int>;
  system.rhs(y, out);
  system.jacobian(y, out);
};

/// Why an attempt was rejected.
enum class Reason { none, error_too_large, pivot, not_finite };

template <class T>
struct StepResult {
  bool accepted = false;
  T error = T(0);   ///< weighted RMS of the estimate, 1 = at tolerance; infinity when it could not be formed
  T h_next = T(0);  ///< step to take next, or to retry with
  Reason reason = Reason::none;
};

/// Work done since construction. `steps` counts accepted ones; `dense_factorisations` those that needed row exchange.
struct Counts {
  long steps = 0, rejected = 0, rhs = 0, jacobians = 0, factorisations = 0, dense_factorisations = 0;
  friend Counts operator+(const Counts& a, const Counts& b) {
    return {a.steps + b.steps, a.rejected + b.rejected, a.rhs + b.rhs, a.jacobians + b.jacobians,
            a.factorisations + b.factorisations, a.dense_factorisations + b.dense_factorisations};
  }
};

/// One step at a time of Rodas5P for stiff systems. The caller owns time, state and the loop:
///
///   auto r = stepper.attempt(system, y, h, retry);
///   if (r.accepted) copy new_state() into y, advance time by h;  retry = !r.accepted;  h = r.h_next;
///
/// Buffers are sized in the constructor; attempt and dense allocate nothing, unless the sparse factors fail at a pivot:
/// in double, W is then factorised once more in full with row exchange, and the step goes on if it is regular. There is
/// no memory between steps beyond the last attempt, so a restart after an event costs nothing: just pass the new y with
/// retry = false.
template <class T>
class Rodas5p {
 public:
  /// `abs_tol`: one per state, in its unit, > 0; `rel_tol` >= 0. InputError otherwise.
  Rodas5p(const Pattern& pattern, std::vector<T> abs_tol, T rel_tol);

  void set_tolerances(std::vector<T> abs_tol, T rel_tol);

  /// One step of size h > 0 from y. `retry`: y is the one of the attempt before, which was rejected; f and the
  /// Jacobian at y are then taken over, and the step size does not grow if the retry succeeds.
  /// y must not be the stepper's own new_state().
  template <class S>
    requires AutonomousSystem<S, T>
  StepResult<T> attempt(S& system, const T* y, T h, bool retry = false);

  /// State at the end of the last attempt; meaningful only when that was accepted.
  const T* new_state() const { return y_new_.data(); }

  /// State at the fraction s in [0, 1] of the last accepted step; y is that step's starting state.
  void dense(T s, const T* y, T* out) const;

  int size() const { return n_; }
  const Counts& counts() const { return counts_; }
  const SparseLu<T>& lu() const { return lu_; }

 private:
  template <int Stage, class S>
  bool stage(S& system, const T* y, T h);
  StepResult<T> rejected(T error, T h_next, Reason reason);
  bool factor(T diag);
  T* k(int stage) { return k_.data() + static_cast<std::size_t>(stage - 1) * count_; }
  const T* k(int stage) const { return k_.data() + static_cast<std::size_t>(stage - 1) * count_; }

  int n_;
  std::size_t count_;  // n_ as an index
  Pattern pattern_;
  SparseLu<T> lu_;
  DenseLu dense_lu_;   // empty until needed
  Tolerances<T> tolerances_;
  std::vector<T> jacobian_, f0_, k_, y_new_;
  bool has_base_ = false, was_rejected_ = false, exchanged_ = false;
  Counts counts_;
};

}  // namespace evenstroke

#include "evenstroke/solver/rodas5p_impl.hpp"
