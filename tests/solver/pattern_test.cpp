#include "evenstroke/solver/pattern.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <numeric>
#include <set>
#include <vector>

#include "evenstroke/base/error.hpp"

using namespace evenstroke;

TEST_SUITE("solver/pattern") {
  TEST_CASE("law: entries come back sorted, once each, with the whole diagonal") {
    const Pattern p = make_pattern(4, {{2, 3}, {0, 2}, {2, 0}, {0, 2}, {3, 3}});
    CHECK(p.row_start == std::vector<int>{0, 2, 3, 6, 7});
    CHECK(p.col == std::vector<int>{0, 2, 1, 0, 2, 3, 3});
    CHECK(p.slots() == 7);
  }

  TEST_CASE("law: slot finds every stored entry and says -1 for all others") {
    const Pattern p = make_pattern(4, {{2, 3}, {0, 2}, {2, 0}});
    int found = 0;
    for (int i = -1; i <= 4; ++i)
      for (int j = -1; j <= 4; ++j) {
        CAPTURE(i);
        CAPTURE(j);
        const int s = p.slot(i, j);
        const bool stored = i >= 0 && i < 4 && ((i == j) || (i == 2 && (j == 3 || j == 0)) || (i == 0 && j == 2));
        CHECK((s >= 0) == stored);
        if (s >= 0) CHECK(p.col[static_cast<std::size_t>(s)] == j);
        found += s >= 0;
      }
    CHECK(found == p.slots());
  }

  TEST_CASE("check: an entry outside the matrix and an empty matrix are refused by name") {
    CHECK_THROWS_AS(make_pattern(0, {}), InputError);
    CHECK_THROWS_AS(make_pattern(3, {{0, 3}}), InputError);
    CHECK_THROWS_AS(make_pattern(3, {{-1, 0}}), InputError);
    CHECK_THROWS_WITH(make_pattern(3, {{5, 1}}), doctest::Contains("(5, 1)"));
  }

  TEST_CASE("law: the elimination order is a permutation, whatever the pattern") {
    for (int n : {1, 2, 7, 30}) {
      CAPTURE(n);
      std::vector<std::pair<int, int>> entries;
      for (int i = 0; i < n; ++i) entries.emplace_back(i, (7 * i + 3) % n);
      std::vector<int> order = minimum_degree_order(make_pattern(n, entries)), all(static_cast<std::size_t>(n));
      std::sort(order.begin(), order.end());
      std::iota(all.begin(), all.end(), 0);
      CHECK(order == all);
    }
  }

  TEST_CASE("law: every elimination takes a node of least degree in the graph left by the ones before") {
    const int side = 6, n = side * side;  // square grid: fill matters
    std::vector<std::pair<int, int>> entries;
    std::vector<std::set<int>> next(static_cast<std::size_t>(n));
    auto join = [&](int i, int j) {
      next[static_cast<std::size_t>(i)].insert(j);
      next[static_cast<std::size_t>(j)].insert(i);
    };
    for (int i = 0; i < n; ++i)
      for (int j : {i + 1, i + side})
        if (j < n && (j == i + side || j % side != 0)) {
          entries.emplace_back(i, j);
          join(i, j);
        }
    std::set<int> left;
    for (int i = 0; i < n; ++i) left.insert(i);
    for (int node : minimum_degree_order(make_pattern(n, entries))) {
      CAPTURE(node);
      const std::set<int> around = next[static_cast<std::size_t>(node)];
      for (int other : left) {
        const std::size_t degree = next[static_cast<std::size_t>(other)].size();
        CHECK(around.size() <= degree);
        if (degree == around.size()) CHECK(node <= other);
      }
      left.erase(node);
      for (int i : around) {
        next[static_cast<std::size_t>(i)].erase(node);
        for (int j : around)
          if (i < j) join(i, j);
      }
    }
  }

  TEST_CASE("limit: the hub of a star goes last although it is numbered first") {
    std::vector<std::pair<int, int>> entries;
    for (int leaf = 1; leaf < 9; ++leaf) entries.emplace_back(0, leaf);  // one side only: the order makes it symmetric
    const std::vector<int> order = minimum_degree_order(make_pattern(9, entries));
    // With one leaf left, hub and leaf have the same degree; either may go first.
    CHECK(std::find(order.begin(), order.end(), 0) - order.begin() >= 7);
  }
}
