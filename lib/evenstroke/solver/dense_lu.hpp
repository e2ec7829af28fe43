#pragma once
#include <vector>

#include "evenstroke/solver/pattern.hpp"

namespace evenstroke {

/// L U of  W = diag I - J  as a full matrix with row exchange, for the rare W on which SparseLu, which exchanges
/// nothing, gives up although W is regular. Costs n^3 and allocates: never the usual way.
class DenseLu {
 public:
  /// `jacobian`: values in slot order of the pattern. False when an entry is not finite or W is singular as far as
  /// rounding can tell: reciprocal condition below 1e-14. Before, rows and columns are multiplied by powers of two
  /// until the entries of each are 1 in the geometric mean, so that neither the exchanges nor the verdict hang on the
  /// units of the states (idea: A. R. Curtis, J. K. Reid, J. Inst. Math. Appl. 10, 1972). After false, do not solve.
  bool factor(const Pattern& pattern, const double* jacobian, double diag);

  /// Overwrites b by the solution of W x = b. Needs a successful factor.
  void solve(double* b) const;

 private:
  int n_ = 0;
  std::vector<double> lu_;                                // column by column, of the scaled matrix
  std::vector<int> row_, row_exponent_, column_exponent_;   // place of each row after the exchanges; powers of two
  mutable std::vector<double> work_;
};

}  // namespace evenstroke
