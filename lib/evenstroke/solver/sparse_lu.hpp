#pragma once
#include <cmath>
#include <cstddef>
#include <vector>

#include "evenstroke/solver/pattern.hpp"

namespace evenstroke {

/// Everything about the factors that does not depend on the numbers: order, fill and the flat list of operations.
/// The factors sit row by row in elimination order: left part (multipliers), pivot, right part.
struct LuPlan {
  struct Pair { int left, upper; };  ///< subtract factor[left] * factor[upper]

  explicit LuPlan(const Pattern& pattern);

  int n = 0;
  std::vector<int> order;       ///< order[p] = row and column of the matrix eliminated as number p
  std::vector<int> row_start;   ///< n + 1: first factor slot of each row
  std::vector<int> pivot;       ///< n: factor slot of each pivot
  std::vector<int> col;         ///< per factor slot: column as elimination number
  std::vector<int> source;      ///< per matrix slot: its factor slot
  std::vector<int> fill;        ///< factor slots that no matrix slot feeds
  std::vector<int> pair_start;  ///< per factor slot + 1: its range in `pairs`
  std::vector<Pair> pairs;
};

/// L U of  W = diag I - J  without pivoting, for one pattern. Order and fill are chosen once, in the constructor;
/// factor and solve allocate nothing. Every entry of a factor is gathered in a register, then written once.
template <class T>
class SparseLu {
 public:
  explicit SparseLu(const Pattern& pattern)
      : plan_(pattern), lu_(plan_.col.size()), inverse_(plan_.pivot.size()), work_(plan_.pivot.size()) {}

  /// `jacobian`: values in pattern slot order. False when a pivot cannot be trusted; solve is then not allowed.
  ///
  /// The test compares terms that all carry the unit of the pivot, so it does not depend on the units of the states:
  /// a pivot is refused when it is not finite, when it is less than 1e-14 of the largest term it was summed from
  /// (the matrix is singular as far as rounding can tell), or when such a term exceeds 1e14 of the diagonal entry
  /// itself (the entry is lost; a zero diagonal is refused likewise). A larger `diag` cures both.
  bool factor(const T* jacobian, T diag);

  /// Overwrites b by the solution of W x = b. Needs a successful factor.
  void solve(T* b) const;

  int size() const { return plan_.n; }
  int slots() const { return static_cast<int>(lu_.size()); }  ///< entries of L and U, fill included
  const LuPlan& plan() const { return plan_; }

 private:
  static std::size_t at(int i) { return static_cast<std::size_t>(i); }
  T gathered(int slot) const;

  LuPlan plan_;
  std::vector<T> lu_, inverse_;
  mutable std::vector<T> work_;
};

// A call per entry would cost a tenth of the factorisation.
template <class T>
[[gnu::always_inline]] inline T SparseLu<T>::gathered(int slot) const {
  const T* lu = lu_.data();
  T sum = lu[slot];
  const LuPlan::Pair* end = plan_.pairs.data() + plan_.pair_start[at(slot + 1)];
  for (const LuPlan::Pair* p = plan_.pairs.data() + plan_.pair_start[at(slot)]; p != end; ++p)
    sum -= lu[p->left] * lu[p->upper];
  return sum;
}

template <class T>
bool SparseLu<T>::factor(const T* jacobian, T diag) {
  using std::abs;
  using std::isfinite;
  T* lu = lu_.data();
  for (int slot : plan_.fill) lu[slot] = T(0);
  for (std::size_t i = 0; i < plan_.source.size(); ++i) lu[plan_.source[i]] = -jacobian[i];
  for (int i = 0; i < plan_.n; ++i) {
    const int pivot = plan_.pivot[at(i)];
    lu[pivot] += diag;
    for (int s = plan_.row_start[at(i)]; s < pivot; ++s) lu[s] = gathered(s) * inverse_[at(plan_.col[at(s)])];

    const T entry = abs(lu[pivot]);
    T sum = lu[pivot], largest = entry;
    for (int p = plan_.pair_start[at(pivot)]; p < plan_.pair_start[at(pivot + 1)]; ++p) {
      const T term = lu[plan_.pairs[at(p)].left] * lu[plan_.pairs[at(p)].upper];
      sum -= term;
      if (abs(term) > largest) largest = abs(term);
    }
    if (!isfinite(sum) || !(abs(sum) > T(1e-14) * largest) || !(T(1e-14) * largest < entry)) return false;
    lu[pivot] = sum;
    inverse_[at(i)] = T(1) / sum;

    for (int s = pivot + 1; s < plan_.row_start[at(i + 1)]; ++s) lu[s] = gathered(s);
  }
  return true;
}

template <class T>
void SparseLu<T>::solve(T* b) const {
  const T* lu = lu_.data();
  const int* col = plan_.col.data();
  T* x = work_.data();
  for (int i = 0; i < plan_.n; ++i) {
    T sum = b[plan_.order[at(i)]];
    for (int s = plan_.row_start[at(i)]; s < plan_.pivot[at(i)]; ++s) sum -= lu[s] * x[col[s]];
    x[i] = sum;
  }
  for (int i = plan_.n - 1; i >= 0; --i) {
    T sum = x[i];
    for (int s = plan_.pivot[at(i)] + 1; s < plan_.row_start[at(i + 1)]; ++s) sum -= lu[s] * x[col[s]];
    b[plan_.order[at(i)]] = x[i] = sum * inverse_[at(i)];
  }
}

}  // namespace evenstroke
