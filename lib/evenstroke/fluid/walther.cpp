#include "evenstroke/fluid/walther.hpp"

#include <algorithm>
#include <cmath>

namespace evenstroke {
namespace {

constexpr double t_40_k = 313.15;

double tail(double nu) { return std::exp(-1.47 - (1.84 + 0.51 * nu) * nu); }

double ordinate(double nu_m2_per_s) {
  const double nu = nu_m2_per_s * 1e6;
  return std::log10(std::log10(nu + 0.7 + tail(nu)));
}

/// Inverse of Z by Newton, so that the line goes through its own points; the standard's series misses them by 0.02 %.
double nu_of(double z) {
  double nu = std::max(z - 0.7, 0.0);
  for (int i = 0; i < 30; ++i) {
    const double step = (nu + 0.7 + tail(nu) - z) / (1 - (1.84 + 1.02 * nu) * tail(nu));
    nu = std::max(nu - step, 0.0);
    if (std::abs(step) <= 1e-14 * nu) break;
  }
  return nu;
}

}  // namespace

Walther walther(double nu_a_m2_per_s, double t_a_k, double nu_b_m2_per_s, double t_b_k) {
  const double y_a = ordinate(nu_a_m2_per_s), slope = (y_a - ordinate(nu_b_m2_per_s)) / std::log10(t_b_k / t_a_k);
  return {y_a + slope * std::log10(t_a_k / t_40_k), slope};
}

double kinematic_viscosity(const Walther& line, double temperature_k) {
  return 1e-6 * nu_of(std::pow(10, std::pow(10, line.y_40 - line.slope * std::log10(temperature_k / t_40_k))));
}

}  // namespace evenstroke
