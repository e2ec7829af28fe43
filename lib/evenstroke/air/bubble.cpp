#include "evenstroke/air/bubble.hpp"

#include <cmath>
#include <limits>
#include <numbers>

#include "evenstroke/base/argument.hpp"
#include "evenstroke/base/constants.hpp"

namespace evenstroke {
namespace {

constexpr double drag_floor = 0.44;       // rigid sphere at high Reynolds number, from memory

}  // namespace

double bubble_diameter_m(double d0_m, double p_pa_abs) {
  not_negative("d0_m", d0_m, "m");
  positive("p_pa_abs", p_pa_abs, "Pa");
  return d0_m * std::cbrt(p0_pa_abs / p_pa_abs);
}

double bubble_rise_m_per_s(double d_m, double mu_pa_s, double rho_kg_per_m3) {
  not_negative("d_m", d_m, "m");
  positive("mu_pa_s", mu_pa_s, "Pa s");
  positive("rho_kg_per_m3", rho_kg_per_m3, "kg/m3");
  if (d_m == 0) return 0;
  const double stokes = rho_kg_per_m3 * gravity_m_per_s2 * d_m * d_m / (18 * mu_pa_s);
  const double re_per_speed = rho_kg_per_m3 * d_m / mu_pa_s;
  double speed = stokes;  // at or above the root of a convex function: Newton comes down to it
  for (int i = 0; i < 60; ++i) {
    const double drag = 0.15 * std::pow(re_per_speed * speed, 0.687);
    const double step = (speed * (1 + drag) - stokes) / (1 + 1.687 * drag);
    speed -= step;
    if (std::abs(step) <= 1e-15 * speed) break;
  }
  return std::fmin(speed, std::sqrt(4 * gravity_m_per_s2 * d_m / (3 * drag_floor)));
}

double breakup_diameter_m(double shear_per_s, double mu_pa_s, double sigma_n_per_m) {
  not_negative("shear_per_s", shear_per_s, "1/s");
  positive("mu_pa_s", mu_pa_s, "Pa s");
  positive("sigma_n_per_m", sigma_n_per_m, "N/m");
  if (shear_per_s == 0) return std::numeric_limits<double>::infinity();
  const double critical = 0.148 * std::pow(mu_air_pa_s / mu_pa_s, -1.0 / 6);
  return 2 * critical * sigma_n_per_m / (mu_pa_s * shear_per_s);
}

double creamed_speed_ratio(double d_m, double bore_m) {
  not_negative("d_m", d_m, "m");
  positive("bore_m", bore_m, "m");
  const double x = std::fmin(1.0, d_m / bore_m);
  return 2 * x * (2 - x);  // 2 [1 - (1 - x)^2], kept exact for small x
}

double suspended_share(double risen) {
  not_negative("risen", risen, "");
  return risen >= 1 ? 0.0 : 2 / std::numbers::pi * (std::acos(risen) - risen * std::sqrt(1 - risen * risen));
}

}  // namespace evenstroke
