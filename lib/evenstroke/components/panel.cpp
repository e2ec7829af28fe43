#include "evenstroke/components/panel.hpp"

#include <array>
#include <cmath>

#include "evenstroke/base/constants.hpp"
#include "evenstroke/components/refuse.hpp"

namespace evenstroke {

template <>
std::span<const Field<Panel>> fields<Panel>() {
  using enum Quantity;
  static constexpr std::array<Field<Panel>, 9> table = {{
      {"mass", &Panel::mass_kg, mass, 0, 1e4, no_band, no_band, "weighing", "Mass the rods lift; 0 = no panel."},
      {"centre_of_mass", &Panel::centre_of_mass, ratio, 0, 1, no_band, no_band, "drawing",
       "Distance of the centre of mass from the first rod, as a share of the spacing."},
      {"spacing", &Panel::spacing_m, length, 0.05, 20, no_band, no_band, "drawing",
       "Distance between neighbouring rods."},
      {"torsion", &Panel::torsion_n_m_per_rad, stiffness_torsion, 0, 1e8, no_band, no_band, "panel_torsion",
       "Torsional stiffness of panel and guides between neighbouring rods; 0 = the rods are free of each other."},
      {"hinge_to_eye", &Panel::hinge_to_eye_m, length, 0, 20, no_band, no_band, "drawing",
       "Of a hinged panel: from the hinge to the rods' eyes."},
      {"hinge_to_foot", &Panel::hinge_to_foot_m, length, 0, 20, no_band, no_band, "drawing",
       "Of a hinged panel: from the hinge to the cylinders' feet."},
      {"foot_to_eye", &Panel::foot_to_eye_m, length, 0, 20, no_band, no_band, "drawing",
       "Of a hinged panel: from foot to eye, rods in."},
      {"hinge_to_centre", &Panel::hinge_to_centre_m, length, 0, 20, no_band, no_band, "drawing",
       "Of a hinged panel: from the hinge to the centre of mass."},
      {"centre_elevation", &Panel::centre_elevation_rad, angle, -3.2, 3.2, no_band, no_band, "drawing",
       "Of a hinged panel: angle of the centre of mass over the horizontal, rods in; over 90 deg the panel pulls the rods."},
  }};
  return table;
}

void check(const Panel& p, const std::string& where, double stroke_m) {
  check_fields(p, where);
  const double m[] = {p.hinge_to_eye_m, p.hinge_to_foot_m, p.foot_to_eye_m, p.hinge_to_centre_m};
  const char* const name[] = {"hinge_to_eye", "hinge_to_foot", "foot_to_eye", "hinge_to_centre"};
  for (std::size_t i = 0; i < 4; ++i) {
    if (p.kind == PanelKind::guided && m[i] != 0) refuse(where, name[i], Quantity::length, m[i], "belongs to a hinged panel");
    if (p.kind == PanelKind::hinged && m[i] <= 0) refuse(where, name[i], Quantity::length, m[i], "a hinged panel needs it");
  }
  if (p.kind == PanelKind::guided && p.centre_elevation_rad != 0)
    refuse(where, "centre_elevation", Quantity::angle, p.centre_elevation_rad, "belongs to a hinged panel");
  if (p.kind == PanelKind::guided) return;
  constexpr double flattest = 0.9962;                    // 5 deg: beyond, the rods would push along the arm
  for (const double x : {0.0, stroke_m}) {
    const double l = m[2] + x;
    if (!(std::abs((m[0] * m[0] + m[1] * m[1] - l * l) / (2 * m[0] * m[1])) < flattest))
      refuse(where, "foot_to_eye", Quantity::length, m[2],
             "with hinge_to_eye and hinge_to_foot it must make a triangle whose angle at the hinge stays between 5 and "
             "175 deg from rods in to rods out (" + number_text(l) + " m from foot to eye)");
  }
}

std::vector<double> static_load_n(const Panel& p, int branches) {
  if (branches < 1) refuse("", "branches", Quantity::count, branches, "must be at least 1");
  const double weight_n = p.mass_kg * gravity_m_per_s2;
  if (branches == 2) return {weight_n * (1 - p.centre_of_mass), weight_n * p.centre_of_mass};
  return std::vector<double>(static_cast<std::size_t>(branches), weight_n / branches);
}

PanelLaw<double> panel_law(const Panel& p, double weight_n) {
  if (p.kind == PanelKind::guided) return {.weight_n = weight_n};
  return {weight_n, true, p.hinge_to_eye_m, p.hinge_to_foot_m, p.foot_to_eye_m, p.hinge_to_centre_m, p.centre_elevation_rad};
}

double coupling_n_per_m(const Panel& p) { return p.torsion_n_m_per_rad / (p.spacing_m * p.spacing_m); }

}  // namespace evenstroke
