#include "evenstroke/components/panel.hpp"

#include <array>

#include "evenstroke/base/constants.hpp"
#include "evenstroke/components/refuse.hpp"

namespace evenstroke {

template <>
std::span<const Field<Panel>> fields<Panel>() {
  using enum Quantity;
  static constexpr std::array<Field<Panel>, 4> table = {{
      {"mass", &Panel::mass_kg, mass, 0, 1e4, no_band, no_band, "weighing", "Mass the rods lift; 0 = no panel."},
      {"centre_of_mass", &Panel::centre_of_mass, ratio, 0, 1, no_band, no_band, "drawing",
       "Distance of the centre of mass from the first rod, as a share of the spacing."},
      {"spacing", &Panel::spacing_m, length, 0.05, 20, no_band, no_band, "drawing",
       "Distance between neighbouring rods."},
      {"torsion", &Panel::torsion_n_m_per_rad, stiffness_torsion, 0, 1e8, no_band, no_band, "panel_torsion",
       "Torsional stiffness of panel and guides between neighbouring rods; 0 = the rods are free of each other."},
  }};
  return table;
}

void check(const Panel& p, const std::string& where) { check_fields(p, where); }

std::vector<double> static_load_n(const Panel& p, int branches) {
  if (branches < 1) refuse("", "branches", Quantity::count, branches, "must be at least 1");
  const double weight_n = p.mass_kg * gravity_m_per_s2;
  if (branches == 2) return {weight_n * (1 - p.centre_of_mass), weight_n * p.centre_of_mass};
  return std::vector<double>(static_cast<std::size_t>(branches), weight_n / branches);
}

double coupling_n_per_m(const Panel& p) { return p.torsion_n_m_per_rad / (p.spacing_m * p.spacing_m); }

}  // namespace evenstroke
