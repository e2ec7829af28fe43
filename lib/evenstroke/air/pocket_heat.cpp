#include "evenstroke/air/pocket_heat.hpp"

#include <cmath>
#include <limits>

#include "evenstroke/base/argument.hpp"
#include "evenstroke/base/constants.hpp"

namespace evenstroke {
namespace {

constexpr double gamma_air = 1.4;
constexpr double diffusivity_p0_m2_per_s = 2.1e-5;  // heat in still air at 1 atm, 20 deg C, from memory
constexpr double slowest_mode = 5.8;

double growth(double x) { return x == 0 ? 1 : std::expm1(x) / x; }  // (exp(x) - 1)/x

}  // namespace

double thermal_time_s(double radius_m, double p_pa_abs) {
  not_negative("radius_m", radius_m, "m");
  positive("p_pa_abs", p_pa_abs, "Pa");
  return radius_m * radius_m / (slowest_mode * diffusivity_p0_m2_per_s) * (p_pa_abs / p0_pa_abs);
}

double pocket_temperature_k(double t_k, double wall_k, double p_from_pa_abs, double p_to_pa_abs, double duration_s,
                            double thermal_time_s) {
  positive("t_k", t_k, "K");
  positive("wall_k", wall_k, "K");
  positive("p_from_pa_abs", p_from_pa_abs, "Pa");
  positive("p_to_pa_abs", p_to_pa_abs, "Pa");
  not_negative("duration_s", duration_s, "s");
  if (!(thermal_time_s >= 0))  // infinite is allowed
    throw InputError("thermal_time_s", number_text(thermal_time_s), "s", "must not be negative");
  const double times = duration_s == 0 ? 0.0 : duration_s / thermal_time_s;
  if (thermal_time_s == 0 || std::isinf(times)) return wall_k;
  const double x = (1 - 1 / gamma_air) * (std::log(p_to_pa_abs) - std::log(p_from_pa_abs)) - times;
  return t_k * std::exp(x) + wall_k * (times * growth(x));
}

double apparent_index(double p1_pa_abs, double v1_m3, double p2_pa_abs, double v2_m3) {
  positive("p1_pa_abs", p1_pa_abs, "Pa");
  positive("v1_m3", v1_m3, "m3");
  positive("p2_pa_abs", p2_pa_abs, "Pa");
  positive("v2_m3", v2_m3, "m3");
  const double up = std::log(p2_pa_abs) - std::log(p1_pa_abs), down = std::log(v1_m3) - std::log(v2_m3);
  if (up == 0 && down == 0) return 1;
  return down == 0 ? std::numeric_limits<double>::infinity() : up / down;
}

}  // namespace evenstroke
