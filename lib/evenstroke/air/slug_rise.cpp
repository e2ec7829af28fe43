#include <algorithm>
#include <cmath>

#include "evenstroke/base/argument.hpp"
#include "evenstroke/air/slug.hpp"
#include "evenstroke/base/constants.hpp"

namespace evenstroke {
namespace {

constexpr double eo_stuck = 3.37;

struct Numbers {
  double scale;   // sqrt(g D), m/s; g less by the gas's own weight
  double eo, n;
};

Numbers numbers(double bore_m, double mu_pa_s, double rho_kg_per_m3, double sigma_n_per_m, double rho_gas_kg_per_m3) {
  positive("bore_m", bore_m, "m");
  positive("mu_pa_s", mu_pa_s, "Pa s");
  positive("rho_kg_per_m3", rho_kg_per_m3, "kg/m3");
  positive("sigma_n_per_m", sigma_n_per_m, "N/m");
  not_negative("rho_gas_kg_per_m3", rho_gas_kg_per_m3, "kg/m3");
  const double buoyancy = std::max(0.0, 1 - rho_gas_kg_per_m3 / rho_kg_per_m3);
  const double scale = std::sqrt(gravity_m_per_s2 * buoyancy * bore_m);
  return {scale, rho_kg_per_m3 * scale * scale * bore_m / sigma_n_per_m, scale * bore_m * rho_kg_per_m3 / mu_pa_s};
}

double bend(double x, double a, double b, double c, double d) { return a / std::pow(1 + std::pow(x / b, c), d); }

double sine(const char* field, double value) {
  if (value >= -1 && value <= 1) return value;
  throw InputError(field, number_text(value), "", "must be from -1 to 1");
}

}  // namespace

double slug_rise_bretherton(double bore_m, double mu_pa_s, double rho_kg_per_m3, double sigma_n_per_m,
                            double rho_gas_kg_per_m3) {
  const double over = numbers(bore_m, mu_pa_s, rho_kg_per_m3, sigma_n_per_m, rho_gas_kg_per_m3).eo / 4 - 0.842;
  if (over <= 0) return 0;
  double y = std::min(std::sqrt(over / 1.25), std::cbrt(over / 2.24));  // Ca^(1/9), from above: Newton comes down
  for (int i = 0; i < 60; ++i) {
    const double step = (y * y * (1.25 + 2.24 * y) - over) / (y * (2.5 + 6.72 * y));
    y -= step;
    if (std::abs(step) <= 1e-15 * y) break;
  }
  return std::pow(y, 9) * sigma_n_per_m / mu_pa_s;
}

double slug_rise_viana(double bore_m, double mu_pa_s, double rho_kg_per_m3, double sigma_n_per_m,
                       double rho_gas_kg_per_m3) {
  const auto [scale, eo, n] = numbers(bore_m, mu_pa_s, rho_kg_per_m3, sigma_n_per_m, rho_gas_kg_per_m3);
  if (eo <= 0) return 0;
  const double a = bend(eo, 0.34, 14.793, -3.06, 0.58), b = bend(eo, 31.08, 29.868, -1.96, -0.49);
  const double c = bend(eo, -1.45, 24.867, -9.93, -0.094);
  return scale * bend(n, a, b, c, -1.0295 / c);
}

double slug_rise_wallis(double bore_m, double mu_pa_s, double rho_kg_per_m3, double sigma_n_per_m,
                        double rho_gas_kg_per_m3) {
  const auto [scale, eo, n] = numbers(bore_m, mu_pa_s, rho_kg_per_m3, sigma_n_per_m, rho_gas_kg_per_m3);
  if (eo <= eo_stuck) return 0;
  const double m = n > 250 ? 10 : n >= 18 ? 69 * std::pow(n, -0.35) : 25;
  return scale * 0.345 * std::expm1(-0.01 * n / 0.345) * std::expm1((eo_stuck - eo) / m);
}

double slug_rise_m_per_s(double bore_m, double mu_pa_s, double rho_kg_per_m3, double sigma_n_per_m,
                         double rho_gas_kg_per_m3) {
  if (numbers(bore_m, mu_pa_s, rho_kg_per_m3, sigma_n_per_m, rho_gas_kg_per_m3).eo <= eo_stuck) return 0;
  return std::min(slug_rise_viana(bore_m, mu_pa_s, rho_kg_per_m3, sigma_n_per_m, rho_gas_kg_per_m3),
                  slug_rise_bretherton(bore_m, mu_pa_s, rho_kg_per_m3, sigma_n_per_m, rho_gas_kg_per_m3));
}

double slug_rise_inclined_m_per_s(double bore_m, double mu_pa_s, double rho_kg_per_m3, double sigma_n_per_m,
                                  double sin_incline, double rho_gas_kg_per_m3) {
  return std::abs(sine("sin_incline", sin_incline)) *
         slug_rise_m_per_s(bore_m, mu_pa_s, rho_kg_per_m3, sigma_n_per_m, rho_gas_kg_per_m3);
}

double open_end_exchange_m_per_s(double bore_m, double mu_pa_s, double rho_kg_per_m3, double sigma_n_per_m,
                                 double sin_down, double rho_gas_kg_per_m3) {
  sine("sin_down", sin_down);
  const auto [scale, eo, n] = numbers(bore_m, mu_pa_s, rho_kg_per_m3, sigma_n_per_m, rho_gas_kg_per_m3);
  if (sin_down < 0 || eo <= eo_stuck) return 0;
  const double thin = std::max(0.0, 0.54 - 1.76 * std::pow(eo, -0.56));
  const double thick = std::min(1.0, 0.53 * std::exp(-13.7 * std::pow(n, -0.46) * std::pow(eo, -0.1)) / 0.54);
  return scale * thin * thick * std::sqrt(1 - sin_down * sin_down) +
         slug_rise_m_per_s(bore_m, mu_pa_s, rho_kg_per_m3, sigma_n_per_m, rho_gas_kg_per_m3) * sin_down;
}

double draining_bore_m(double sigma_n_per_m, double rho_kg_per_m3) {
  positive("sigma_n_per_m", sigma_n_per_m, "N/m");
  positive("rho_kg_per_m3", rho_kg_per_m3, "kg/m3");
  return 2 * 1.841 * std::sqrt(sigma_n_per_m / (rho_kg_per_m3 * gravity_m_per_s2));
}

double capillary_pa_diff(double bore_m, double sigma_n_per_m) {
  positive("bore_m", bore_m, "m");
  positive("sigma_n_per_m", sigma_n_per_m, "N/m");
  return 4 * sigma_n_per_m / bore_m;
}

}  // namespace evenstroke
