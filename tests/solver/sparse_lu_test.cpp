#include "evenstroke/solver/sparse_lu.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <random>
#include <string>
#include <utility>
#include <vector>

#include "support/near.hpp"

using namespace evenstroke;

namespace {

using Entries = std::vector<std::pair<int, int>>;
using Vector = std::vector<double>;

std::size_t at(int i) { return static_cast<std::size_t>(i); }

/// Gaussian elimination with row exchange, full matrix, extended precision: the rival that shares no line with ours.
Vector dense_solve(const Pattern& p, const Vector& jacobian, double diag, const Vector& b) {
  std::vector<std::vector<long double>> a(at(p.n), std::vector<long double>(at(p.n) + 1, 0.0L));
  for (int i = 0; i < p.n; ++i) {
    for (int s = p.row_start[at(i)]; s < p.row_start[at(i + 1)]; ++s) a[at(i)][at(p.col[at(s)])] = -jacobian[at(s)];
    a[at(i)][at(i)] += diag;
    a[at(i)].back() = b[at(i)];
  }
  for (std::size_t k = 0; k < a.size(); ++k) {
    auto larger = [k](const auto& x, const auto& y) { return std::abs(x[k]) < std::abs(y[k]); };
    std::swap(a[k], *std::max_element(a.begin() + static_cast<std::ptrdiff_t>(k), a.end(), larger));
    for (std::size_t i = k + 1; i < a.size(); ++i)
      for (std::size_t j = a.size() + 1; j-- > k;) a[i][j] -= a[i][k] / a[k][k] * a[k][j];
  }
  Vector x(a.size());
  for (std::size_t i = a.size(); i-- > 0;) {
    long double sum = a[i].back();
    for (std::size_t j = i + 1; j < a.size(); ++j) sum -= a[i][j] * static_cast<long double>(x[j]);
    x[i] = static_cast<double>(sum / a[i][i]);
  }
  return x;
}

Entries tree(int n, std::mt19937& random) {  // each node hangs on an earlier one, both directions
  Entries e;
  for (int i = 1; i < n; ++i) {
    const int parent = static_cast<int>(random() % static_cast<unsigned>(i));
    e.emplace_back(i, parent);
    e.emplace_back(parent, i);
  }
  return e;
}

Entries scattered(int n, std::mt19937& random) {  // three per row, not symmetric
  Entries e;
  for (int i = 0; i < n; ++i)
    for (int k = 0; k < 3; ++k) e.emplace_back(i, static_cast<int>(random() % static_cast<unsigned>(n)));
  return e;
}

Entries block_arrow(int n) {  // chains of three beside each other, all joined to row and column 0
  Entries e;
  for (int i = 1; i < n; ++i) {
    e.emplace_back(0, i);
    e.emplace_back(i, 0);
    if (i % 3 != 0 && i + 1 < n) {
      e.emplace_back(i, i + 1);
      e.emplace_back(i + 1, i);
    }
  }
  return e;
}

/// J with -J diagonally dominant, so that  diag I - J  is, too.
Vector dominant(const Pattern& p, std::mt19937& random) {
  std::uniform_real_distribution<double> any(-1, 1);
  Vector j(p.col.size());
  for (int i = 0; i < p.n; ++i) {
    double sum = 0;
    for (int s = p.row_start[at(i)]; s < p.row_start[at(i + 1)]; ++s) sum += std::abs(j[at(s)] = any(random));
    j[at(p.slot(i, i))] = -1.1 * sum;
  }
  return j;
}

bool factors(int n, const Entries& entries, const Vector& jacobian, double diag) {
  SparseLu<double> lu(make_pattern(n, entries));
  return lu.factor(jacobian.data(), diag);
}

}  // namespace

TEST_SUITE("solver/sparse_lu") {
  TEST_CASE("agreement: sparse without pivoting equals dense with pivoting on dominant matrices of every shape") {
    std::mt19937 random(7);
    for (int n : {1, 2, 3, 5, 8, 13, 25, 40, 60, 120})
      for (const char* shape : {"tree", "scattered", "block arrow"}) {
        CAPTURE(n);
        CAPTURE(shape);
        const std::string name = shape;
        const Pattern p = make_pattern(
            n, name == "tree" ? tree(n, random) : name == "scattered" ? scattered(n, random) : block_arrow(n));
        SparseLu<double> lu(p);
        for (int repeat = 0; repeat < 2; ++repeat) {  // the second time over the numbers of the first
          const Vector j = dominant(p, random);
          Vector b(at(n));
          for (double& v : b) v = static_cast<double>(random()) / 1e9 - 2;
          const Vector expected = dense_solve(p, j, 0.3, b);
          REQUIRE(lu.factor(j.data(), 0.3));
          lu.solve(b.data());
          for (int i = 0; i < n; ++i) CHECK(near(b[at(i)], expected[at(i)], 1e-11, 1e-13));
        }
      }
  }

  TEST_CASE("law: a tree fills nothing, however it is numbered") {
    std::mt19937 random(11);
    for (int n : {3, 10, 25, 60, 120}) {
      CAPTURE(n);
      const Pattern p = make_pattern(n, tree(n, random));
      const SparseLu<double> lu(p);
      CHECK(lu.slots() == n + 2 * (n - 1));
      CHECK(lu.plan().fill.empty());
    }
  }

  TEST_CASE("limit: fill is exact at both ends: one-way couplings need none, a full matrix has no room for any") {
    Entries lower, full;
    for (int i = 0; i < 12; ++i)
      for (int j = 0; j < 12; ++j) {
        if (j < i) lower.emplace_back(i, j);
        full.emplace_back(i, j);
      }
    CHECK(SparseLu<double>(make_pattern(12, lower)).slots() == 78);
    CHECK(SparseLu<double>(make_pattern(12, full)).slots() == 144);
    // A ring of n fills one entry each way per elimination until three are left: n + 2n + 2(n - 3).
    Entries ring;
    for (int i = 0; i < 12; ++i) {
      ring.emplace_back(i, (i + 1) % 12);
      ring.emplace_back((i + 1) % 12, i);
    }
    CHECK(SparseLu<double>(make_pattern(12, ring)).slots() == 12 + 24 + 18);
  }

  TEST_CASE("agreement: pressures in Pa and flows in m3/s, entries 22 decades apart") {
    // Chain of chambers (stiffness B/V = 1e14 Pa/m3) and pipes (1/inertance = 1e-8 m3/(s2 Pa)), light damping.
    const int n = 41;
    Entries e;
    for (int i = 0; i + 1 < n; ++i) {
      e.emplace_back(i, i + 1);
      e.emplace_back(i + 1, i);
    }
    const Pattern p = make_pattern(n, e);
    Vector j(p.col.size(), 0.0);
    for (int i = 0; i < n; ++i) {
      const double up = i % 2 == 0 ? 1e14 : 1e-8;
      if (i > 0) j[at(p.slot(i, i - 1))] = up;
      if (i + 1 < n) j[at(p.slot(i, i + 1))] = -up;
      j[at(p.slot(i, i))] = -30.0;
    }
    SparseLu<double> lu(p);
    for (double h_s : {1e-7, 1e-5, 1e-3, 1e-1}) {
      CAPTURE(h_s);
      Vector b(at(n));
      for (int i = 0; i < n; ++i) b[at(i)] = (i % 2 == 0 ? 1e9 : 1e-3) * (1 + i % 5);
      const Vector expected = dense_solve(p, j, 1 / (0.2 * h_s), b);
      REQUIRE(lu.factor(j.data(), 1 / (0.2 * h_s)));
      lu.solve(b.data());
      double scale_even = 0, scale_odd = 0;
      for (int i = 0; i < n; ++i) {
        double& scale = i % 2 == 0 ? scale_even : scale_odd;
        scale = std::max(scale, std::abs(expected[at(i)]));
      }
      for (int i = 0; i < n; ++i)
        CHECK(near(b[at(i)], expected[at(i)], 0, 1e-9 * (i % 2 == 0 ? scale_even : scale_odd)));
    }
  }

  TEST_CASE("check: a singular matrix is refused, exactly singular or only up to rounding") {
    CHECK_FALSE(factors(1, {}, {0.0}, 0.0));
    CHECK_FALSE(factors(2, {{0, 1}, {1, 0}}, {0.0, -1.0, -1.0, 0.0}, 1.0));
    // Closed net of conductances: rows sum to zero, the last pivot is nothing but rounding.
    const int n = 12;
    std::mt19937 random(3);
    const Pattern p = make_pattern(n, block_arrow(n));
    Vector j(p.col.size(), 0.0);
    for (int i = 0; i < n; ++i)
      for (int k = 0; k < i; ++k)
        if (p.slot(i, k) >= 0) {
          const double g = 0.1 + static_cast<double>(random()) / 4e9;
          j[at(p.slot(i, k))] = j[at(p.slot(k, i))] = g;
          j[at(p.slot(i, i))] -= g;
          j[at(p.slot(k, k))] -= g;
        }
    SparseLu<double> lu(p);
    CHECK_FALSE(lu.factor(j.data(), 0.0));
    CHECK(lu.factor(j.data(), 1e-6));
  }

  TEST_CASE("check: without row exchange a zero or swamped diagonal is refused, a sound one is not") {
    const Entries both = {{0, 1}, {1, 0}};
    CHECK_FALSE(factors(2, both, {0.0, -1.0, -1.0, 0.0}, 0.0));
    CHECK_FALSE(factors(2, both, {-1e-20, -1.0, -1.0, -1.0}, 0.0));
    CHECK(factors(2, both, {-1e-6, -1.0, -1.0, -1.0}, 0.0));
  }

  TEST_CASE("check: not-a-number and infinity are refused wherever they stand") {
    const Pattern p = make_pattern(6, block_arrow(6));
    SparseLu<double> lu(p);
    std::mt19937 random(5);
    const Vector good = dominant(p, random);
    for (std::size_t s = 0; s < good.size(); ++s)
      for (double bad : {std::nan(""), std::numeric_limits<double>::infinity()}) {
        CAPTURE(s);
        Vector j = good;
        j[s] = bad;
        CHECK_FALSE(lu.factor(j.data(), 1.0));
        CHECK(lu.factor(good.data(), 1.0));  // and the failure leaves nothing behind
      }
    CHECK_FALSE(lu.factor(good.data(), std::nan("")));
    // Every entry and every product is finite, their sum is not.
    CHECK_FALSE(factors(2, {{0, 1}, {1, 0}}, {-1.0, -1.3e154, 1.3e154, -1e308}, 0.0));
  }

  TEST_CASE("law: the verdict does not depend on the units of the states") {
    const Entries both = {{0, 1}, {1, 0}};
    for (double unit : {1e-15, 1.0, 1e15}) {  // state 1 counted in another unit: W01 * unit, W10 / unit
      CAPTURE(unit);
      CHECK(factors(2, both, {0.0, -0.5 * unit, -0.5 / unit, 0.0}, 1.0));
      CHECK_FALSE(factors(2, both, {0.0, -1.0 * unit, -1.0 / unit, 0.0}, 1.0));
    }
  }
}
