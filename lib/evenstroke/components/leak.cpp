#include "evenstroke/components/leak.hpp"

#include <numbers>

#include "evenstroke/base/argument.hpp"
#include "evenstroke/components/refuse.hpp"

namespace evenstroke {

double gap_conductance(double diameter_m, double gap_m, double length_m, double mu_pa_s) {
  positive("diameter_m", diameter_m, "m");
  positive("gap_m", gap_m, "m");
  positive("length_m", length_m, "m");
  positive("mu_pa_s", mu_pa_s, "Pa s");
  if (gap_m > 0.1 * diameter_m)
    refuse("", "gap", Quantity::length, gap_m, "must be thin: at most a tenth of the diameter");
  return std::numbers::pi * diameter_m * gap_m * gap_m * gap_m / (12 * mu_pa_s * length_m);
}

}  // namespace evenstroke
