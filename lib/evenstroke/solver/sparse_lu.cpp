#include "evenstroke/solver/sparse_lu.hpp"

#include <algorithm>
#include <limits>

namespace evenstroke {
namespace {

std::size_t at(int i) { return static_cast<std::size_t>(i); }

}  // namespace

LuPlan::LuPlan(const Pattern& pattern) : n(pattern.n), order(minimum_degree_order(pattern)) {
  const int none = std::numeric_limits<int>::max();
  std::vector<int> number(at(n));  // matrix row -> elimination number
  for (int p = 0; p < n; ++p) number[at(order[at(p)])] = p;

  // Rows of the factors, one after the other: the row of the matrix, then each multiplier k adds the right part of
  // row k. Fill follows the matrix as it is, not made symmetric: entries that stay zero are never stored.
  std::vector<std::vector<bool>> filled(at(n), std::vector<bool>(at(n), false));
  std::vector<std::vector<int>> slot_at(at(n), std::vector<int>(at(n), none));
  row_start.push_back(0);
  for (int i = 0; i < n; ++i) {
    auto& row = filled[at(i)];
    const int r = order[at(i)];
    for (int s = pattern.row_start[at(r)]; s < pattern.row_start[at(r + 1)]; ++s)
      row[at(number[at(pattern.col[at(s)])])] = true;
    for (int k = 0; k < i; ++k)
      if (row[at(k)])
        for (int j = k + 1; j < n; ++j)
          if (filled[at(k)][at(j)]) row[at(j)] = true;
    for (int j = 0; j < n; ++j)
      if (row[at(j)]) {
        slot_at[at(i)][at(j)] = static_cast<int>(col.size());
        if (j == i) pivot.push_back(static_cast<int>(col.size()));
        col.push_back(j);
      }
    row_start.push_back(static_cast<int>(col.size()));
  }

  std::vector<bool> fed(col.size(), false);
  for (int r = 0; r < n; ++r)
    for (int s = pattern.row_start[at(r)]; s < pattern.row_start[at(r + 1)]; ++s) {
      source.push_back(slot_at[at(number[at(r)])][at(number[at(pattern.col[at(s)])])]);
      fed[at(source.back())] = true;
    }
  for (std::size_t s = 0; s < fed.size(); ++s)
    if (!fed[s]) fill.push_back(static_cast<int>(s));

  // Entry (i, j) = w_ij - sum over k < min(i, j) of l_ik u_kj, where both exist.
  pair_start.push_back(0);
  for (int i = 0; i < n; ++i)
    for (int s = row_start[at(i)]; s < row_start[at(i + 1)]; ++s) {
      const int j = col[at(s)];
      for (int t = row_start[at(i)]; t < s && col[at(t)] < std::min(i, j); ++t) {
        const int upper = slot_at[at(col[at(t)])][at(j)];
        if (upper != none) pairs.push_back({t, upper});
      }
      pair_start.push_back(static_cast<int>(pairs.size()));
    }
}

}  // namespace evenstroke
