#pragma once
// Definitions of Rodas5p; include rodas5p.hpp.
#include "evenstroke/solver/rodas5p.hpp"

namespace evenstroke {

template <class T>
Rodas5p<T>::Rodas5p(const Pattern& pattern, std::vector<T> abs_tol, T rel_tol)
    : n_(pattern.n), count_(static_cast<std::size_t>(pattern.n)), pattern_(pattern), lu_(pattern),
      tolerances_(std::move(abs_tol), rel_tol, n_), jacobian_(pattern.col.size()), f0_(count_),
      k_(count_ * Rodas5pTable::stages), y_new_(count_) {}

template <class T>
void Rodas5p<T>::set_tolerances(std::vector<T> abs_tol, T rel_tol) {
  tolerances_ = Tolerances<T>(std::move(abs_tol), rel_tol, n_);
}

template <class T>
bool Rodas5p<T>::factor(T diag) {
  ++counts_.factorisations;
  exchanged_ = false;
  if (lu_.factor(jacobian_.data(), diag)) return true;
  if constexpr (std::is_same_v<T, double>) {
    ++counts_.dense_factorisations;
    exchanged_ = dense_lu_.factor(pattern_, jacobian_.data(), diag);
  }
  return exchanged_;
}

// y_new_ holds the starting point of the stage and, after the last one, the new state.
template <class T>
template <int Stage, class S>
bool Rodas5p<T>::stage(S& system, const T* y, T h) {
  T* k_now = k(Stage);
  if constexpr (Stage == 1) {
    std::copy(f0_.begin(), f0_.end(), k_now);
  } else {
    [&]<std::size_t... J>(std::index_sequence<J...>) {  // written out, not a loop: one pass over the states
      const T* earlier[] = {k(static_cast<int>(J) + 1)...};
      if constexpr (Stage <= 6) {
        for (std::size_t i = 0; i < count_; ++i)
          y_new_[i] = (y[i] + ... + (T(Rodas5pTable::a[Stage - 1][J]) * earlier[J][i]));
      } else {
        for (std::size_t i = 0; i < count_; ++i) y_new_[i] += earlier[Stage - 2][i];
      }
      system.rhs(y_new_.data(), k_now);
      ++counts_.rhs;
      const T per_h = T(1) / h;
      for (std::size_t i = 0; i < count_; ++i)
        k_now[i] += per_h * (T(0) + ... + (T(Rodas5pTable::c[Stage - 1][J]) * earlier[J][i]));
    }(std::make_index_sequence<Stage - 1>{});
  }
  if constexpr (std::is_same_v<T, double>) {
    if (exchanged_) {
      dense_lu_.solve(k_now);
      return all_finite(k_now, count_);
    }
  }
  lu_.solve(k_now);
  return all_finite(k_now, count_);
}

template <class T>
StepResult<T> Rodas5p<T>::rejected(T error, T h_next, Reason reason) {
  was_rejected_ = true;
  ++counts_.rejected;
  return {false, error, h_next, reason};
}

template <class T>
template <class S>
  requires AutonomousSystem<S, T>
StepResult<T> Rodas5p<T>::attempt(S& system, const T* y, T h, bool retry) {
  using std::isfinite;
  check_step(h, static_cast<int>(system.size()), n_);
  const T unknown = std::numeric_limits<T>::infinity();

  const bool held_back = retry && was_rejected_;
  if (!retry || !has_base_) {
    has_base_ = false;  // in case the system throws half way
    system.rhs(y, f0_.data());
    system.jacobian(y, jacobian_.data());
    ++counts_.rhs;
    ++counts_.jacobians;
    has_base_ = true;
  }
  if (!all_finite(f0_.data(), count_) || !all_finite(jacobian_.data(), jacobian_.size()))
    return rejected(unknown, h / T(4), Reason::not_finite);
  if (!factor(T(1) / (h * T(Rodas5pTable::gamma)))) return rejected(unknown, h / T(4), Reason::pivot);

  if (!(stage<1>(system, y, h) && stage<2>(system, y, h) && stage<3>(system, y, h) && stage<4>(system, y, h) &&
        stage<5>(system, y, h) && stage<6>(system, y, h) && stage<7>(system, y, h) && stage<8>(system, y, h)))
    return rejected(unknown, h / T(4), Reason::not_finite);
  for (std::size_t i = 0; i < count_; ++i) y_new_[i] += k(8)[i];
  const T error = tolerances_.norm(k(8), y, y_new_.data());
  if (!isfinite(error) || !all_finite(y_new_.data(), count_)) return rejected(unknown, h / T(4), Reason::not_finite);

  const T growth = step_factor(error, 5, held_back);   // the estimate is that of the order 4 formula
  if (error > T(1)) return rejected(error, h * growth, Reason::error_too_large);
  was_rejected_ = false;
  ++counts_.steps;
  return {true, error, h * growth, Reason::none};
}

template <class T>
void Rodas5p<T>::dense(T s, const T* y, T* out) const {
  [&]<std::size_t... J>(std::index_sequence<J...>) {
    const T* k_all[] = {k(static_cast<int>(J) + 1)...};
    const auto& d = Rodas5pTable::d;
    for (std::size_t i = 0; i < count_; ++i) {
      const T k1 = (T(0) + ... + (T(d[0][J]) * k_all[J][i]));
      const T k2 = (T(0) + ... + (T(d[1][J]) * k_all[J][i]));
      const T k3 = (T(0) + ... + (T(d[2][J]) * k_all[J][i]));
      out[i] = (T(1) - s) * y[i] + s * (y_new_[i] + (T(1) - s) * (k1 + s * (k2 + s * k3)));
    }
  }(std::make_index_sequence<Rodas5pTable::stages>{});
}

}  // namespace evenstroke
