#pragma once
#include <cmath>

#include "evenstroke/base/constants.hpp"

namespace evenstroke::testing {

// Published laws, written a second time and solved by halving, so that a test does not lean on the library's own.

/// Film of a long bubble after Aussillous and Quere 2000 (from memory), Ca on its own speed: k = 1/(1 - h/R)^2.
inline double film_ratio(double speed_m_per_s, double mu_pa_s, double sigma_n_per_m) {
  double low = 1, high = 2.5;
  for (int i = 0; i < 60; ++i) {
    const double k = (low + high) / 2, x = std::pow(mu_pa_s * k * speed_m_per_s / sigma_n_per_m, 2.0 / 3);
    const double h = 1.34 * x / (1 + 3.35 * x);
    (1 / ((1 - h) * (1 - h)) > k ? low : high) = k;
  }
  return low;
}

/// Viana et al. 2003 (constants as an open flow code gives them): rise of a long bubble in a closed vertical line.
inline double viana_m_per_s(double bore_m, double mu_pa_s, double rho, double sigma_n_per_m, double rho_gas = 0) {
  const auto l = [](double x, double a, double b, double c, double d) {
    return a / std::pow(1 + std::pow(x / b, c), d);
  };
  const double root = std::sqrt(gravity_m_per_s2 * (1 - rho_gas / rho) * bore_m), eo = rho * root * root * bore_m / sigma_n_per_m;
  const double a = l(eo, 0.34, 14.793, -3.06, 0.58), b = l(eo, 31.08, 29.868, -1.96, -0.49);
  const double c = l(eo, -1.45, 24.867, -9.93, -0.094);
  return root * l(root * bore_m * rho / mu_pa_s, a, b, c, -1.0295 / c);
}

/// Bretherton 1961: Bo - 0.842 = 1.25 Ca^(2/9) + 2.24 Ca^(1/3), Bo = (rho - rho_gas) g R^2/sigma.
inline double bretherton_m_per_s(double bore_m, double mu_pa_s, double rho, double sigma_n_per_m, double rho_gas = 0) {
  const double over = (rho - rho_gas) * gravity_m_per_s2 * bore_m * bore_m / 4 / sigma_n_per_m - 0.842;
  double low = 0, high = 10;
  for (int i = 0; i < 200; ++i) {
    const double ca = (low + high) / 2;
    (1.25 * std::pow(ca, 2.0 / 9) + 2.24 * std::cbrt(ca) < over ? low : high) = ca;
  }
  return over > 0 ? low * sigma_n_per_m / mu_pa_s : 0.0;
}

/// One bubble: U (1 + 0.15 Re^0.687) = rho g d^2/(18 mu), Schiller and Naumann 1933 (from memory).
inline double single_rise_m_per_s(double d_m, double mu_pa_s, double rho) {
  const double stokes = rho * gravity_m_per_s2 * d_m * d_m / (18 * mu_pa_s);
  double low = 0, high = stokes;
  for (int i = 0; i < 80; ++i) {
    const double u = (low + high) / 2, re = rho * u * d_m / mu_pa_s;
    (u * (1 + 0.15 * std::pow(re, 0.687)) < stokes ? low : high) = u;
  }
  return low;
}

}  // namespace evenstroke::testing
