#include "evenstroke/solver/dense_lu.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <random>
#include <vector>

#include "evenstroke/solver/rodas5p.hpp"
#include "support/near.hpp"

using namespace evenstroke;

namespace {

using Vector = std::vector<double>;

std::size_t at(int i) { return static_cast<std::size_t>(i); }

bool factors(int n, const std::vector<std::pair<int, int>>& entries, const Vector& jacobian, double diag) {
  return DenseLu().factor(make_pattern(n, entries), jacobian.data(), diag);
}

/// y0' = a y0 + b y1, y1' = b y0 + a y1: with a h gamma = 1 the diagonal of W vanishes, W itself does not.
/// Closed form: sum and difference decouple, growing at a + b and a - b.
struct Swap {
  double a, b;
  Pattern pattern = make_pattern(2, {{0, 1}, {1, 0}});
  int size() const { return 2; }
  void rhs(const double* y, double* f) const {
    f[0] = a * y[0] + b * y[1];
    f[1] = b * y[0] + a * y[1];
  }
  void jacobian(const double*, double* v) const {
    v[0] = v[3] = a;
    v[1] = v[2] = b;
  }
};

}  // namespace

TEST_SUITE("solver/dense_lu") {
  TEST_CASE("law: a vanishing diagonal is no obstacle when rows can change places") {
    const Pattern both = make_pattern(2, {{0, 1}, {1, 0}});
    const double j[] = {0, -3, -2, 0};   // W = [[0, 3], [2, 0]]
    CHECK_FALSE(SparseLu<double>(both).factor(j, 0));
    DenseLu lu;
    REQUIRE(lu.factor(both, j, 0));
    Vector b = {12, 10};
    lu.solve(b.data());
    CHECK(b == Vector{5, 4});
  }

  TEST_CASE("law: W x = b holds for scattered patterns, entries twelve decades apart") {
    std::mt19937 random(5);
    std::uniform_real_distribution<double> any(-1, 1);
    for (int n : {1, 2, 5, 20, 60}) {
      CAPTURE(n);
      std::vector<std::pair<int, int>> e;
      for (int i = 0; i < n; ++i)
        for (int k = 0; k < 3; ++k) e.emplace_back(i, static_cast<int>(random() % static_cast<unsigned>(n)));
      const Pattern p = make_pattern(n, e);
      Vector j(p.col.size()), x(at(n)), b(at(n), 0.0), size(at(n), 0.0);
      const auto unit = [](int i) { return i % 2 ? 1e6 : 1e-6; };
      const double diag = 0.7;
      for (int i = 0; i < n; ++i) x[at(i)] = any(random) * unit(i);
      for (int i = 0; i < n; ++i)
        for (int s = p.row_start[at(i)]; s < p.row_start[at(i + 1)]; ++s) {
          const int c = p.col[at(s)];
          j[at(s)] = any(random) * unit(i) / unit(c);
          const double term = ((i == c ? diag : 0.0) - j[at(s)]) * x[at(c)];
          b[at(i)] += term;
          size[at(i)] += std::abs(term);
        }
      DenseLu lu;
      REQUIRE(lu.factor(p, j.data(), diag));
      Vector found = b;
      lu.solve(found.data());
      for (int i = 0; i < n; ++i) {   // put back into the equations, which is fair to an ill-conditioned W
        double row = diag * found[at(i)];
        for (int s = p.row_start[at(i)]; s < p.row_start[at(i + 1)]; ++s) row -= j[at(s)] * found[at(p.col[at(s)])];
        CHECK(near(row, b[at(i)], 0, 1e-11 * (size[at(i)] + std::abs(b[at(i)]))));
      }
    }
  }

  TEST_CASE("check: a singular matrix is refused, exactly or up to rounding, in any units of the states") {
    CHECK_FALSE(factors(1, {}, {0.0}, 0.0));
    for (double unit : {1e-15, 1.0, 1e15}) {
      CAPTURE(unit);
      CHECK_FALSE(factors(2, {{0, 1}, {1, 0}}, {0.0, -unit, -1 / unit, 0.0}, 1.0));
      CHECK(factors(2, {{0, 1}, {1, 0}}, {0.0, -0.5 * unit, -0.5 / unit, 0.0}, 1.0));
    }
    // Rows sum to zero and thirds are rounded: what is left of the last pivot is rounding.
    const double t = 1.0 / 3;
    CHECK_FALSE(factors(3, {{0, 1}, {0, 2}, {1, 0}, {1, 2}, {2, 0}, {2, 1}},
                        {-1, t, 1 - t, t, -0.7, 0.7 - t, 1 - t, 0.7 - t, t - 1.7 + t}, 0.0));
    CHECK_FALSE(factors(2, {{0, 1}}, {0.0, 1.0, 5.0}, 0.0));   // a column of zeros
  }

  TEST_CASE("check: not-a-number and infinity are refused") {
    for (double bad : {std::nan(""), std::numeric_limits<double>::infinity()}) {
      CHECK_FALSE(factors(2, {{0, 1}, {1, 0}}, {1.0, bad, 2.0, 1.0}, 3.0));
      CHECK_FALSE(factors(2, {{0, 1}, {1, 0}}, {1.0, 2.0, 2.0, 1.0}, bad));
    }
  }

  TEST_CASE("law: a step goes through where the order of elimination meets a zero pivot, and is counted") {
    const double h = 0.01, a = 1 / (h * Rodas5pTable::gamma);
    Swap system{a, a};   // modes at 2 a and at rest
    Rodas5p<double> stepper(system.pattern, {1e9, 1e9}, 0.0);
    const double y[] = {1, 0.5};
    REQUIRE(stepper.attempt(system, y, h).accepted);
    CHECK(stepper.counts().dense_factorisations == 1);
    CHECK(stepper.counts().factorisations == 1);
    // The step of a linear system in its eigenvectors is the step of two systems of one state each, which need no
    // exchange: what the exchange must reproduce, up to the condition of W, which is 1 here.
    for (int i : {0, 1}) {
      CAPTURE(i);
      double sum = 0;
      for (double sign : {1.0, -1.0}) {
        Swap one{a + sign * system.b, 0.0};
        Rodas5p<double> plain(one.pattern, {1e9, 1e9}, 0.0);
        const double start[] = {0.5 * (y[0] + sign * y[1]), 0};
        REQUIRE(plain.attempt(one, start, h).accepted);
        CHECK(plain.counts().dense_factorisations == 0);
        sum += (i == 1 ? sign : 1.0) * plain.new_state()[0];
      }
      CHECK(near(stepper.new_state()[i], sum, 1e-9, 0));
    }
    REQUIRE(stepper.attempt(system, y, 0.25 * h).accepted);   // and it leaves nothing behind
    CHECK(stepper.counts().dense_factorisations == 1);
    Rodas5p<double> fresh(system.pattern, {1e9, 1e9}, 0.0);
    REQUIRE(fresh.attempt(system, y, 0.25 * h).accepted);
    for (int i : {0, 1}) CHECK(stepper.new_state()[i] == fresh.new_state()[i]);
  }

  TEST_CASE("check: a matrix that is singular both ways rejects the step for its pivot, counted once") {
    const double h = 0.01;
    Swap system{0.5 / (h * Rodas5pTable::gamma), 0.5 / (h * Rodas5pTable::gamma)};   // W = c [[1, -1], [-1, 1]]
    Rodas5p<double> stepper(system.pattern, {1e9, 1e9}, 0.0);
    const double y[] = {1, 0.5};
    const auto r = stepper.attempt(system, y, h);
    CHECK_FALSE(r.accepted);
    CHECK(r.reason == Reason::pivot);
    CHECK(r.h_next == h / 4);
    CHECK(stepper.counts().dense_factorisations == 1);
  }
}
