#pragma once
#include <cmath>
#include <numbers>
#include <utility>
#include <vector>

#include "evenstroke/solver/rodas5p.hpp"

/// Systems the solver's tests share, and the plainest loop over a stepper.
namespace evenstroke::problems {

using Vector = std::vector<double>;

/// y' = 2 t y log z, z' = -2 t z log y, t' = 1:  y = exp(sin t^2), z = exp(cos t^2).
struct TwoExponentials {
  Pattern pattern = make_pattern(3, {{0, 1}, {0, 2}, {1, 0}, {1, 2}});
  int size() const { return 3; }
  void rhs(const double* y, double* f) const {
    f[0] = 2 * y[2] * y[0] * std::log(y[1]);
    f[1] = -2 * y[2] * y[1] * std::log(y[0]);
    f[2] = 1;
  }
  void jacobian(const double* y, double* v) const {
    const double t = y[2];
    const double rows[] = {2 * t * std::log(y[1]),  2 * t * y[0] / y[1],     2 * y[0] * std::log(y[1]),
                           -2 * t * y[1] / y[0],    -2 * t * std::log(y[0]), -2 * y[1] * std::log(y[0]), 0};
    for (double x : rows) *v++ = x;
  }
  static Vector exact(double t) { return {std::exp(std::sin(t * t)), std::exp(std::cos(t * t)), t}; }
};

/// x' = re x - im y, y' = im x + re y: one complex eigenvalue.
struct Spiral {
  double re, im;
  Pattern pattern = make_pattern(2, {{0, 1}, {1, 0}});
  int size() const { return 2; }
  void rhs(const double* y, double* f) const {
    f[0] = re * y[0] - im * y[1];
    f[1] = im * y[0] + re * y[1];
  }
  void jacobian(const double*, double* v) const {
    v[0] = v[3] = re;
    v[1] = -im;
    v[2] = im;
  }
};

/// y' = -sqrt(y), not a number below zero.
struct Draining {
  Pattern pattern = make_pattern(1, {});
  bool asked_nan = false;
  int size() const { return 1; }
  void rhs(const double* y, double* f) {
    asked_nan = asked_nan || std::isnan(y[0]);
    f[0] = -std::sqrt(y[0]);
  }
  void jacobian(const double* y, double* v) const { v[0] = -0.5 / std::sqrt(y[0]); }
};

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

/// Van der Pol's oscillator, z'' = ((1 - z^2) z' - z)/eps.
struct VanDerPol {
  double eps;
  Pattern pattern = make_pattern(2, {{0, 1}, {1, 0}});
  int size() const { return 2; }
  void rhs(const double* y, double* f) const {
    f[0] = y[1];
    f[1] = ((1 - y[0] * y[0]) * y[1] - y[0]) / eps;
  }
  void jacobian(const double* y, double* v) const {
    v[0] = 0;
    v[1] = 1;
    v[2] = (-2 * y[0] * y[1] - 1) / eps;
    v[3] = (1 - y[0] * y[0]) / eps;
  }
};

struct Run {
  Vector y;       ///< at the end; empty when that was not reached
  Counts counts;
};

/// From 0 to t_end as a caller would, the last step cut to fit; gives up after 20000 attempts or at a step below
/// 1e-14 t_end.
template <class Stepper, class S>
Run drive(Stepper& stepper, S& system, Vector y, double t_end, double h) {
  bool retry = false;
  for (double t = 0; t < t_end;) {
    const bool last = t + h >= t_end;
    if (last) h = t_end - t;
    const auto r = stepper.attempt(system, y.data(), h, retry);
    if (r.accepted) {
      y.assign(stepper.new_state(), stepper.new_state() + system.size());
      t = last ? t_end : t + h;
    }
    retry = !r.accepted;
    h = r.h_next;
    if (stepper.counts().steps + stepper.counts().rejected > 20000 || (retry && h < 1e-14 * t_end))
      return {{}, stepper.counts()};
  }
  return {y, stepper.counts()};
}

}  // namespace evenstroke::problems
