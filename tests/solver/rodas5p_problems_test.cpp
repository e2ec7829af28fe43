// Whole integrations against solutions that others published or that are known in closed form.
#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <vector>

#include "evenstroke/solver/rodas5p.hpp"
#include "support/near.hpp"

using namespace evenstroke;

namespace {

using Vector = std::vector<double>;

struct Run {
  Vector y;
  Counts counts;
};

template <class S>
Run integrate(S& system, Vector y, double t_end, Vector abs_tol, double rel_tol, double h) {
  Rodas5p<double> stepper(system.pattern, std::move(abs_tol), rel_tol);
  bool retry = false;
  for (double t = 0; t < t_end;) {
    const bool last = t + h >= t_end;
    if (last) h = t_end - t;
    const auto r = stepper.attempt(system, y.data(), h, retry);
    REQUIRE(stepper.counts().steps + stepper.counts().rejected < 20000);
    if (r.accepted) {
      y.assign(stepper.new_state(), stepper.new_state() + system.size());
      t = last ? t_end : t + h;
    }
    retry = !r.accepted;
    h = r.h_next;
  }
  return {y, stepper.counts()};
}

/// Robertson's reactions in the scaling of STIFF DETEST, problem D2.
struct DetestD2 {
  Pattern pattern = make_pattern(3, {{0, 1}, {0, 2}, {1, 0}, {1, 2}, {2, 1}});
  int size() const { return 3; }
  void rhs(const double* y, double* f) const {
    f[0] = -0.04 * y[0] + 0.01 * y[1] * y[2];
    f[1] = 400 * y[0] - 100 * y[1] * y[2] - 3000 * y[1] * y[1];
    f[2] = 30 * y[1] * y[1];
  }
  void jacobian(const double* y, double* v) const {
    const double rows[] = {-0.04, 0.01 * y[2], 0.01 * y[1], 400, -100 * y[2] - 6000 * y[1], -100 * y[1], 60 * y[1], 0};
    for (double x : rows) *v++ = x;
  }
};

/// Eight reactions of light and plant growth: problem HIRES of the Test Set for IVP Solvers.
struct Hires {
  Pattern pattern = make_pattern(8, {{0, 1}, {0, 2}, {1, 0}, {2, 3}, {2, 4}, {3, 1}, {3, 2}, {4, 5}, {4, 6}, {5, 3},
                                     {5, 4}, {5, 6}, {5, 7}, {6, 5}, {6, 7}, {7, 5}, {7, 6}});
  int size() const { return 8; }
  void rhs(const double* y, double* f) const {
    f[0] = -1.71 * y[0] + 0.43 * y[1] + 8.32 * y[2] + 0.0007;
    f[1] = 1.71 * y[0] - 8.75 * y[1];
    f[2] = -10.03 * y[2] + 0.43 * y[3] + 0.035 * y[4];
    f[3] = 8.32 * y[1] + 1.71 * y[2] - 1.12 * y[3];
    f[4] = -1.745 * y[4] + 0.43 * (y[5] + y[6]);
    f[5] = -280 * y[5] * y[7] + 0.69 * y[3] + 1.71 * y[4] - 0.43 * y[5] + 0.69 * y[6];
    f[6] = 280 * y[5] * y[7] - 1.81 * y[6];
    f[7] = -f[6];
  }
  void jacobian(const double* y, double* v) const {
    const double a = 280 * y[7], b = 280 * y[5];
    const double rows[] = {-1.71, 0.43, 8.32, 1.71, -8.75, -10.03, 0.43, 0.035, 8.32, 1.71, -1.12, -1.745, 0.43, 0.43,
                           0.69,  1.71, -a - 0.43, 0.69, -b, a, -1.81, b, -a, 1.81, -b};
    static_assert(sizeof rows / sizeof rows[0] == 25);
    for (double x : rows) *v++ = x;
  }
};

/// Diffusion along a chain of n cells between two walls held at zero: y_i' = k (y_i-1 - 2 y_i + y_i+1).
struct Chain {
  int n;
  double k;
  Pattern pattern;
  Chain(int cells, double rate) : n(cells), k(rate) {
    std::vector<std::pair<int, int>> e;
    for (int i = 0; i + 1 < n; ++i) {
      e.emplace_back(i, i + 1);
      e.emplace_back(i + 1, i);
    }
    pattern = make_pattern(n, e);
  }
  int size() const { return n; }
  void rhs(const double* y, double* f) const {
    for (int i = 0; i < n; ++i) f[i] = k * ((i > 0 ? y[i - 1] : 0) - 2 * y[i] + (i + 1 < n ? y[i + 1] : 0));
  }
  void jacobian(const double*, double* v) const {
    for (int i = 0; i < n; ++i) {
      if (i > 0) *v++ = k;
      *v++ = -2 * k;
      if (i + 1 < n) *v++ = k;
    }
  }
  /// Eigenvectors of the chain are sines: y_i = sum_m w_m sin(pi m (i+1)/(n+1)) exp(-4 k t sin^2(pi m / (2n+2))).
  Vector exact(double t) const {
    Vector y(static_cast<std::size_t>(n), 0.0);
    for (int m = 1; m <= n; ++m) {
      const double angle = std::numbers::pi * m / (n + 1), s = std::sin(angle / 2);
      for (int i = 0; i < n; ++i)
        y[static_cast<std::size_t>(i)] += std::sin(angle * (i + 1)) / m * std::exp(-4 * k * t * s * s);
    }
    return y;
  }
};

}  // namespace

TEST_SUITE("solver/rodas5p problems") {
  TEST_CASE("reference: Robertson's problem at t = 40") {
    // Solution of STIFF DETEST problem D2: W. H. Enright, J. D. Pryce, ACM Trans. Math. Softw. 13(1), 1987, Algorithm
    // 648. Multiplied by 1, 1e-4, 1e-2 it is Robertson's 0.71583, 9.1855e-6, 0.28416.
    const double expected[] = {7.158270687193941e-01, 9.185534764557338e-02, 2.841637457458413e+01};
    DetestD2 system;
    const Run run = integrate(system, {1, 0, 0}, 40, {1e-10, 1e-11, 1e-8}, 1e-9, 1e-6);
    for (std::size_t i = 0; i < 3; ++i) CHECK(near(run.y[i], expected[i], 1e-9, 0));
    CHECK(near(run.y[0] + 1e-4 * run.y[1] + 1e-2 * run.y[2], 1.0, 1e-11, 0));  // mass is kept

    const Run rough = integrate(system, {1, 0, 0}, 40, {1e-5, 1e-6, 1e-3}, 1e-4, 1e-6);
    for (std::size_t i = 0; i < 3; ++i) CHECK(near(rough.y[i], expected[i], 1e-3, 0));
    CHECK(rough.counts.steps < 100);
  }

  TEST_CASE("reference: HIRES at t = 321.8122") {
    // Test Set for IVP Solvers (F. Mazzia, C. Magherini, University of Bari), problem HIRES, its reference solution.
    const double expected[] = {0.7371312573325668e-3, 0.1442485726316185e-3, 0.5888729740967575e-4,
                               0.1175651343283149e-2, 0.2386356198831331e-2, 0.6238968252742796e-2,
                               0.2849998395185769e-2, 0.2850001604814231e-2};
    Hires system;
    Vector y0(8, 0.0);
    y0[0] = 1;
    y0[7] = 0.0057;
    const Run run = integrate(system, y0, 321.8122, Vector(8, 1e-13), 1e-10, 1e-5);
    for (std::size_t i = 0; i < 8; ++i) {
      CAPTURE(i);
      CHECK(near(run.y[i], expected[i], 1e-7, 0));
    }
  }

  TEST_CASE("agreement: a stiff linear chain follows its closed form at every tolerance") {
    const Chain chain(40, 1e5);
    const double t_end = 1e-3;  // fastest rate times time: 400; slowest: 0.6
    const Vector exact = chain.exact(t_end);
    double previous = 1;
    for (double tol : {1e-4, 1e-6, 1e-8}) {
      CAPTURE(tol);
      Chain system = chain;
      const Run run = integrate(system, chain.exact(0), t_end, Vector(40, tol), tol, 1e-8);
      double worst = 0;
      for (std::size_t i = 0; i < 40; ++i) worst = std::max(worst, std::abs(run.y[i] - exact[i]));
      CHECK(worst < 10 * tol);
      CHECK(worst < previous);
      previous = worst;
    }
  }

  TEST_CASE("limit: a drained mode costs nothing: long after the transient the steps grow without bound") {
    Chain system(20, 1e6);
    const Run run = integrate(system, system.exact(0), 1e6, Vector(20, 1e-6), 1e-6, 1e-9);
    for (double y : run.y) CHECK(near(y, 0, 0, 1e-6));
    CHECK(run.counts.steps < 200);
  }
}
