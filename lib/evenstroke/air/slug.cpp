#include "evenstroke/air/slug.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "evenstroke/base/argument.hpp"
#include "evenstroke/base/constants.hpp"

namespace evenstroke {
namespace {

constexpr double k_max = 2.5;  // m = 0.6, the film left at very large Ca (Cox 1962, from memory)

double film(double ca) {  // h/R
  const double x = std::cbrt(ca * ca);
  return std::isfinite(x) ? 1.34 * x / (1 + 3.35 * x) : 0.4;
}

}  // namespace

double slug_film_share(double ca) {
  if (!(ca >= 0)) throw InputError("ca", number_text(ca), "", "must not be negative");
  const double core = 1 - film(ca);
  return std::min(1 - core * core, 1 - 1 / k_max);
}

double slug_speed_ratio(double mean_speed_m_per_s, double mu_pa_s, double sigma_n_per_m) {
  positive("mu_pa_s", mu_pa_s, "Pa s");
  positive("sigma_n_per_m", sigma_n_per_m, "N/m");
  if (!std::isfinite(mean_speed_m_per_s))
    throw InputError("mean_speed_m_per_s", number_text(mean_speed_m_per_s), "m/s", "must be a finite number");
  const double ca_mean = mu_pa_s * std::abs(mean_speed_m_per_s) / sigma_n_per_m;
  double k = 1;
  for (int i = 0; i < 20; ++i) {  // Newton on ratio(k) = k, uncapped; d ln(ratio)/d ln(k) stays below 0.2
    const double h = film(ca_mean * k), ratio = 1 / ((1 - h) * (1 - h));
    const double bend = 4.0 / 3 * h * (1 - 2.5 * h) / (1 - h);  // that derivative; 1/(1 + 3.35 x) = 1 - 2.5 h
    const double step = (ratio - k) / (1 - ratio * bend / k);
    k += step;
    if (std::abs(step) <= 1e-15 * k) break;
  }
  return std::min(k, k_max);
}

double critical_bore_m(double sigma_n_per_m, double rho_kg_per_m3, double rho_gas_kg_per_m3) {
  positive("sigma_n_per_m", sigma_n_per_m, "N/m");
  positive("rho_kg_per_m3", rho_kg_per_m3, "kg/m3");
  not_negative("rho_gas_kg_per_m3", rho_gas_kg_per_m3, "kg/m3");
  if (rho_gas_kg_per_m3 >= rho_kg_per_m3)
    throw InputError("rho_gas_kg_per_m3", number_text(rho_gas_kg_per_m3), "kg/m3",
                     "must be less than the oil's, " + number_text(rho_kg_per_m3) + ": nothing rises in denser gas");
  return 2 * 0.918 * std::sqrt(sigma_n_per_m / ((rho_kg_per_m3 - rho_gas_kg_per_m3) * gravity_m_per_s2));
}

bool is_slug(double gas_m3, double bore_m) { return gas_m3 > std::numbers::pi / 6 * bore_m * bore_m * bore_m; }

}  // namespace evenstroke
