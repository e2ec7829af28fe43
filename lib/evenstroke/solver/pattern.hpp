#pragma once
#include <utility>
#include <vector>

namespace evenstroke {

/// Where a square matrix may be non-zero: rows compressed, columns rising inside a row, the whole diagonal present.
/// A slot is a position in `col`; the values of a matrix with this pattern are an array in slot order.
struct Pattern {
  int n = 0;
  std::vector<int> row_start;  ///< n + 1 numbers; the slots of row i are row_start[i] .. row_start[i + 1] - 1
  std::vector<int> col;        ///< column of each slot

  int slots() const { return static_cast<int>(col.size()); }
  /// Slot of entry (i, j), or -1 when the pattern has no such entry. Binary search: look up once, not in a law.
  int slot(int i, int j) const;
};

/// Pattern from (row, column) entries in any order; duplicates merge and the diagonal is added.
/// InputError when n < 1 or an entry lies outside 0 .. n - 1.
Pattern make_pattern(int n, std::vector<std::pair<int, int>> entries);

/// Elimination order by minimum degree on the pattern made symmetric; ties go to the lower index.
/// A tree is eliminated from its leaves and fills nothing.
std::vector<int> minimum_degree_order(const Pattern& pattern);

}  // namespace evenstroke
