#pragma once
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>
#include <utility>
#include <vector>

#include "evenstroke/base/error.hpp"

namespace evenstroke {

template <class T>
bool all_finite(const T* values, std::size_t count) {
  using std::isfinite;
  for (std::size_t i = 0; i < count; ++i)
    if (!isfinite(values[i])) return false;
  return true;
}

/// What an error may cost in each state; one number for all would mix metres, cubic metres and pascals.
template <class T>
class Tolerances {
 public:
  /// `abs_tol`: one per state, in its unit, > 0; `rel_tol` >= 0. InputError otherwise.
  Tolerances(std::vector<T> abs_tol, T rel_tol, int states) : abs_(std::move(abs_tol)), rel_(rel_tol) {
    using std::isfinite;
    if (abs_.size() != static_cast<std::size_t>(states))
      throw InputError("abs_tol", std::to_string(abs_.size()) + " values", "",
                       "needs one per state, here " + std::to_string(states));
    for (const T& a : abs_)
      if (!(a > T(0)) || !isfinite(a))
        throw InputError("abs_tol", std::to_string(a), "unit of its state", "must be finite and > 0");
    if (!(rel_ >= T(0)) || !isfinite(rel_))
      throw InputError("rel_tol", std::to_string(rel_), "1", "must be finite and >= 0");
  }

  /// Weighted RMS of an error estimate; 1 = at tolerance.
  T norm(const T* error, const T* y, const T* y_new) const {
    using std::abs;
    using std::sqrt;
    T sum = T(0);
    for (std::size_t i = 0; i < abs_.size(); ++i) {
      const T scaled = error[i] / (abs_[i] + rel_ * std::max(abs(y[i]), abs(y_new[i])));
      sum += scaled * scaled;
    }
    return sqrt(sum / T(static_cast<double>(abs_.size())));
  }

 private:
  std::vector<T> abs_;
  T rel_;
};

/// Factor on the step for an error that goes with the power `order` of it: 0.9 to the tolerance, 1/5 to 6, and no
/// growth right after a rejection. It looks at this step alone, so a restart has nothing to forget.
template <class T>
T step_factor(T error, double order, bool held_back) {
  using std::pow;
  const T wish = error > T(0) ? T(0.9) * pow(error, T(-1 / order)) : T(6);
  return std::clamp(wish, T(0.2), held_back ? T(1) : T(6));
}

template <class T>
void check_step(T h, int system_states, int stepper_states) {
  using std::isfinite;
  if (!(h > T(0)) || !isfinite(h)) throw InputError("h", std::to_string(h), "s", "must be finite and > 0");
  if (system_states != stepper_states)
    throw InputError("system", std::to_string(system_states) + " states", "",
                     "the stepper was built for " + std::to_string(stepper_states));
}

}  // namespace evenstroke
