#include "evenstroke/solver/rodas5p_table.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <cstddef>

#include "support/near.hpp"

using namespace evenstroke;

namespace {

constexpr std::size_t n = Rodas5pTable::stages;
using Row = std::array<double, n>;
using Square = std::array<Row, n>;

Row operator*(const Row& x, const Row& y) {
  Row z{};
  for (std::size_t i = 0; i < n; ++i) z[i] = x[i] * y[i];
  return z;
}
double dot(const Row& x, const Row& y) {
  double sum = 0;
  for (std::size_t i = 0; i < n; ++i) sum += x[i] * y[i];
  return sum;
}
Row operator*(const Square& m, const Row& x) {
  Row y{};
  for (std::size_t i = 0; i < n; ++i) y[i] = dot(m[i], x);
  return y;
}
Row operator*(const Row& x, const Square& m) {
  Row y{};
  for (std::size_t i = 0; i < n; ++i)
    for (std::size_t j = 0; j < n; ++j) y[j] += x[i] * m[i][j];
  return y;
}

/// The coefficients as order theory has them: stages i at y + sum alpha_ij k_j, Jacobian terms gamma_ij, weights b_i.
/// From the transformed ones by  Gamma^-1 = I / gamma - c,  alpha = a Gamma,  b = m Gamma  (Hairer and Wanner, Solving
/// Ordinary Differential Equations II, section IV.7).
struct Classic {
  Square alpha{}, beta{};  // beta = alpha + Gamma
  Row b{}, b_embedded{};
  Classic() {
    using Table = Rodas5pTable;
    Square a{}, gamma{};
    for (std::size_t i = 0; i < n; ++i)
      for (std::size_t j = 0; j < i; ++j) a[i][j] = j < 5 ? Table::a[i < 5 ? i : 5][j] : 1.0;
    for (std::size_t i = 0; i < n; ++i) {  // forward substitution, one row of Gamma after the other
      for (std::size_t j = 0; j < i; ++j)
        for (std::size_t k = j; k < i; ++k) gamma[i][j] += Table::gamma * Table::c[i][k] * gamma[k][j];
      gamma[i][i] = Table::gamma;
    }
    Row m{}, m_embedded{};
    for (std::size_t j = 0; j < n; ++j) {
      m[j] = j < 5 ? Table::a[5][j] : 1.0;
      m_embedded[j] = j == 7 ? 0.0 : m[j];  // the estimate is the last increment
    }
    for (std::size_t i = 0; i < n; ++i) {
      alpha[i] = a[i] * gamma;
      for (std::size_t j = 0; j < n; ++j) beta[i][j] = alpha[i][j] + gamma[i][j];
    }
    b = m * gamma;
    b_embedded = m_embedded * gamma;
  }
};

}  // namespace

TEST_SUITE("solver/rodas5p_table") {
  TEST_CASE("order: the 17 conditions for order 5 hold, and the first 8 for the embedded formula") {
    // One condition per rooted tree: sum over the tree of beta where a node has one branch and alpha where it has
    // several equals 1 / density of the tree (Hairer and Wanner II, section IV.7).
    const Classic t;
    Row one;
    one.fill(1.0);
    const Row a = t.alpha * one, e = t.beta * one, ae = t.alpha * e, bb = t.beta * e, aa = a * a;
    const struct {
      Row tree;
      double density;
    } conditions[] = {{one, 1},          {e, 2},                  {aa, 3},
                      {bb, 6},           {aa * a, 4},             {a * ae, 8},
                      {t.beta * aa, 12}, {t.beta * bb, 24},       {aa * aa, 5},
                      {aa * ae, 10},     {ae * ae, 20},           {a * (t.alpha * aa), 15},
                      {a * (t.alpha * bb), 30}, {t.beta * (aa * a), 20}, {t.beta * (a * ae), 40},
                      {t.beta * (t.beta * aa), 60}, {t.beta * (t.beta * bb), 120}};
    double embedded_gap = 0;
    for (std::size_t i = 0; i < 17; ++i) {
      CAPTURE(i);
      CHECK(near(dot(t.b, conditions[i].tree), 1 / conditions[i].density, 0, 1e-12));
      const double embedded = dot(t.b_embedded, conditions[i].tree);
      if (i < 8)
        CHECK(near(embedded, 1 / conditions[i].density, 0, 1e-12));
      else
        embedded_gap = std::fmax(embedded_gap, std::abs(embedded - 1 / conditions[i].density));
    }
    CHECK(embedded_gap > 1e-4);  // otherwise the estimate would measure nothing
  }

  TEST_CASE("law: stiffly accurate: the weights are the last row, so the new state solves the fast equations") {
    const Classic t;
    for (std::size_t j = 0; j < n; ++j) CHECK(near(t.b[j], t.beta[n - 1][j], 0, 1e-12));
  }

  TEST_CASE("reference: stage times and row sums as printed in the paper") {
    // Steinebach 2023, doi 10.1007/s10543-023-00967-x.
    const double alpha[] = {0, 0.6358126895828704, 0.4095798393397535, 0.9769306725060716, 0.4288403609558664, 1, 1, 1};
    const double gamma[] = {0.21193756319429014, -0.42387512638858027, -0.3384627126235924, 1.8046452872882734,
                            2.325825639765069,   0,                    0,                   0};
    const Classic t;
    Row one;
    one.fill(1.0);
    const Row a = t.alpha * one, e = t.beta * one;
    for (std::size_t i = 0; i < n; ++i) {
      CAPTURE(i);
      CHECK(near(a[i], alpha[i], 0, 1e-12));
      CHECK(near(e[i] - a[i], gamma[i], 0, 1e-12));
    }
  }
}
