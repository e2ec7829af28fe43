#include "evenstroke/network/stored_work.hpp"

#include <algorithm>
#include <cmath>

namespace evenstroke {
namespace {

/// Per volume at p0 [J/m3].
double oil_work(const LiquidLaw<double>& l, double over_pa) {
  const double u = l.slope * over_pa / l.k0_pa;
  if (std::abs(u) < 1e-4) return over_pa * over_pa / (2 * l.k0_pa) * (1 - u * (4.0 / 3 - 1.5 * u));   // else digits go
  return l.k0_pa / (l.slope * l.slope) * (std::log1p(u) - u / (1 + u));
}

}  // namespace

double stored_work_j(const Network& n, const Contents& c) {
  double sum = 0;
  for (std::size_t i = 0; i < n.places.size(); ++i) {
    const int place = static_cast<int>(i);
    const Masses m = held(c, place);
    const double p = c.pressure_pa_abs[i], over = p - p0_pa_abs, wall = n.places[i].wall_m3_per_pa;
    const double gas_j = m.gas_kg() * n.gas_j_per_kg, oil_m3 = m.oil_kg / n.rho0_kg_per_m3;
    sum += gas_j * (std::log(p / p0_pa_abs) - 1 + p0_pa_abs / p);
    sum += oil_m3 * oil_work(n.liquid, over) + wall * over * over / 2;
    const double content = oil_m3 * relative_volume(n.liquid, p) + gas_j / p;
    if (over < 0) sum -= over * std::max(0.0, available_m3(n, c, place) + wall * over - content);
  }
  return sum;
}

}  // namespace evenstroke
