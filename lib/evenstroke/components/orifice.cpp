#include "evenstroke/components/orifice.hpp"

#include <numbers>

#include "evenstroke/base/argument.hpp"

namespace evenstroke {

OrificeLaw<double> orifice_law(double area_m2, double cd, double rho_kg_per_m3, double nu_m2_per_s, double transition_re) {
  if (area_m2 == 0) return {1, 0};
  positive("area_m2", area_m2, "m2");
  positive("cd", cd, "-");
  positive("rho_kg_per_m3", rho_kg_per_m3, "kg/m3");
  positive("nu_m2_per_s", nu_m2_per_s, "m2/s");
  positive("transition_re", transition_re, "-");
  const double diameter_m = std::sqrt(4 * area_m2 / std::numbers::pi), open = cd * area_m2;
  const double a = nu_m2_per_s * transition_re / (2 * cd * diameter_m);
  return {rho_kg_per_m3 * a / open, rho_kg_per_m3 / (2 * open * open)};
}

}  // namespace evenstroke
