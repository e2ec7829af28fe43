#include "evenstroke/solver/pattern.hpp"

#include <algorithm>
#include <cstddef>
#include <limits>
#include <string>

#include "evenstroke/base/error.hpp"

namespace evenstroke {
namespace {

std::size_t at(int i) { return static_cast<std::size_t>(i); }

}  // namespace

int Pattern::slot(int i, int j) const {
  if (i < 0 || i >= n) return -1;
  const auto first = col.begin() + row_start[at(i)], last = col.begin() + row_start[at(i + 1)];
  const auto found = std::lower_bound(first, last, j);
  return found != last && *found == j ? static_cast<int>(found - col.begin()) : -1;
}

Pattern make_pattern(int n, std::vector<std::pair<int, int>> entries) {
  if (n < 1) throw InputError("n", std::to_string(n), "", "a pattern needs at least one row");
  for (const auto& [i, j] : entries)
    if (i < 0 || j < 0 || i >= n || j >= n)
      throw InputError("entries", "(" + std::to_string(i) + ", " + std::to_string(j) + ")", "",
                       "rows and columns count from 0 to n - 1 = " + std::to_string(n - 1));
  for (int i = 0; i < n; ++i) entries.emplace_back(i, i);
  std::sort(entries.begin(), entries.end());
  entries.erase(std::unique(entries.begin(), entries.end()), entries.end());

  Pattern pattern;
  pattern.n = n;
  pattern.row_start.assign(at(n) + 1, 0);
  for (const auto& [i, j] : entries) {
    ++pattern.row_start[at(i) + 1];
    pattern.col.push_back(j);
  }
  for (int i = 0; i < n; ++i) pattern.row_start[at(i) + 1] += pattern.row_start[at(i)];
  return pattern;
}

std::vector<int> minimum_degree_order(const Pattern& pattern) {
  const std::size_t n = at(pattern.n);
  std::vector<std::vector<bool>> joined(n, std::vector<bool>(n, false));
  for (int i = 0; i < pattern.n; ++i)
    for (int s = pattern.row_start[at(i)]; s < pattern.row_start[at(i + 1)]; ++s) {
      const std::size_t j = at(pattern.col[at(s)]);
      if (j != at(i)) joined[at(i)][j] = joined[j][at(i)] = true;
    }

  std::vector<int> order;
  std::vector<bool> gone(n, false);
  while (order.size() < n) {
    std::size_t best = n;
    std::ptrdiff_t fewest = std::numeric_limits<std::ptrdiff_t>::max();
    for (std::size_t i = 0; i < n; ++i) {
      const auto degree = std::count(joined[i].begin(), joined[i].end(), true);
      if (!gone[i] && degree < fewest) {
        best = i;
        fewest = degree;
      }
    }
    order.push_back(static_cast<int>(best));
    gone[best] = true;
    std::vector<std::size_t> neighbours;
    for (std::size_t j = 0; j < n; ++j)
      if (joined[best][j]) neighbours.push_back(j);
    for (std::size_t j : neighbours) {  // eliminating `best` joins its neighbours to each other
      joined[j][best] = false;
      for (std::size_t k : neighbours)
        if (k != j) joined[j][k] = true;
    }
  }
  return order;
}

}  // namespace evenstroke
