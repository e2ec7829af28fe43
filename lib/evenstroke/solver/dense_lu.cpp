#include "evenstroke/solver/dense_lu.hpp"

#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <cstddef>

namespace evenstroke {
namespace {

std::size_t at(int i) { return static_cast<std::size_t>(i); }

/// Minus the mean of log2|entry| + shift over the entries that are not zero, a whole number; false when there are none.
template <class Line>
bool centre(const Line& line, const std::vector<int>& shift, int& exponent) {
  double sum = 0;
  int entries = 0;
  for (int k = 0; k < static_cast<int>(shift.size()); ++k)
    if (line(k) != 0) {
      sum += std::log2(std::abs(line(k))) + shift[at(k)];
      ++entries;
    }
  if (entries > 0) exponent = -static_cast<int>(std::lround(sum / entries));
  return entries > 0;
}

}  // namespace

bool DenseLu::factor(const Pattern& pattern, const double* jacobian, double diag) {
  n_ = pattern.n;
  lu_.assign(at(n_) * at(n_), 0.0);
  for (auto* exponent : {&row_exponent_, &column_exponent_}) exponent->assign(at(n_), 0);
  row_.resize(at(n_));
  work_.resize(at(n_));

  Eigen::Map<Eigen::MatrixXd> w(lu_.data(), n_, n_);
  for (int i = 0; i < n_; ++i) {
    for (int s = pattern.row_start[at(i)]; s < pattern.row_start[at(i + 1)]; ++s)
      w(i, pattern.col[at(s)]) = -jacobian[s];
    w(i, i) += diag;
  }
  if (!w.allFinite()) return false;
  constexpr int sweeps = 10;
  for (int sweep = 0; sweep < sweeps; ++sweep) {
    for (int i = 0; i < n_; ++i)
      if (!centre(w.row(i), column_exponent_, row_exponent_[at(i)])) return false;
    for (int j = 0; j < n_; ++j)
      if (!centre(w.col(j), row_exponent_, column_exponent_[at(j)])) return false;
  }
  for (int j = 0; j < n_; ++j)
    for (int i = 0; i < n_; ++i) w(i, j) = std::ldexp(w(i, j), row_exponent_[at(i)] + column_exponent_[at(j)]);

  const Eigen::PartialPivLU<Eigen::Ref<Eigen::MatrixXd>> lu(w);   // in place: the factors are in lu_
  if (!(lu.rcond() > 1e-14)) return false;                        // also when it is not a number
  const auto& rows = lu.permutationP().indices();
  std::copy(rows.data(), rows.data() + n_, row_.begin());
  return true;
}

void DenseLu::solve(double* b) const {
  const Eigen::Map<const Eigen::MatrixXd> lu(lu_.data(), n_, n_);
  for (int i = 0; i < n_; ++i) work_[at(row_[at(i)])] = std::ldexp(b[i], row_exponent_[at(i)]);
  Eigen::Map<Eigen::VectorXd> x(work_.data(), n_);
  lu.triangularView<Eigen::UnitLower>().solveInPlace(x);
  lu.triangularView<Eigen::Upper>().solveInPlace(x);
  for (int i = 0; i < n_; ++i) b[i] = std::ldexp(x(i), column_exponent_[at(i)]);
}

}  // namespace evenstroke
