#pragma once
#include <cmath>
#include <vector>

#include "evenstroke/base/field.hpp"

namespace evenstroke {

enum class PanelKind { guided, hinged };

/// Panel on the rods, with torsional stiffness between neighbours; mass 0 = no panel.
///   W_i = share_i m g f(x_i) + k_c sum_j (x_i - x_j),  k_c = K_t/L^2    share: (1-beta, beta) for two rods, equal for more
///   guided  f = 1: lifted straight
///   hinged  f = c cos(phi) dgamma/dx: swung about a fixed axis; the triangle hinge, foot, eye gives
///           a^2 + b^2 - 2 a b cos(gamma) = (l + x)^2,  phi = phi_0 + gamma(x) - gamma(0)
///           the load changes its sign where the centre of mass passes over the hinge: from there the panel pulls the rods
///   valid: small twist, no jamming; slow      tests: tests/components/panel_test.cpp, tests/limits/hinged_panel_test.cpp
struct Panel {
  double mass_kg = required;
  double centre_of_mass = 0.5;             ///< beta: from the first rod, as a share of the spacing [-]
  double spacing_m = 1.0;                  ///< L between neighbouring rods
  double torsion_n_m_per_rad = 0.0;        ///< K_t; 0 = the rods are free of each other
  double hinge_to_eye_m = 0.0;             ///< a, of a hinged panel, as all below
  double hinge_to_foot_m = 0.0;            ///< b
  double foot_to_eye_m = 0.0;              ///< l, rods in
  double hinge_to_centre_m = 0.0;          ///< c, to the centre of mass
  double centre_elevation_rad = 0.0;       ///< phi_0, of the centre of mass over the horizontal, rods in
  PanelKind kind = PanelKind::guided;
};
template <>
std::span<const Field<Panel>> fields<Panel>();
/// `stroke_m`: the longest of the rods that carry it; the triangle must close over all of it.
void check(const Panel&, const std::string& where, double stroke_m = 0);
std::vector<double> static_load_n(const Panel&, int branches);   ///< share of the weight of each rod
double coupling_n_per_m(const Panel&);     ///< k_c

template <class T>
struct PanelForce {
  T n, dn_dx;   ///< against extension [N], [N/m]
};

/// Load of one rod over its travel, and its work.
template <class T = double>
struct PanelLaw {
  T weight_n;                                    ///< share m g
  bool hinged = false;
  T a = T(1), b = T(1), l = T(1), c = T(1), phi_0 = T(0);

  T gamma(T x) const {
    using std::acos;
    return acos((a * a + b * b - (l + x) * (l + x)) / (T(2) * a * b));
  }
  PanelForce<T> force(T x) const {
    using std::cos, std::sin;
    if (!hinged) return {weight_n, T(0)};
    const T g = gamma(x), s = sin(g), phi = phi_0 + g - gamma(T(0));
    const T slope = (l + x) / (a * b * s), bend = T(1) / (a * b * s) - slope * slope * cos(g) / s;
    return {weight_n * c * cos(phi) * slope, weight_n * c * (cos(phi) * bend - sin(phi) * slope * slope)};
  }
  T energy_j(T x) const {                        ///< since the rod was in
    using std::sin;
    return hinged ? weight_n * c * (sin(phi_0 + gamma(x) - gamma(T(0))) - sin(phi_0)) : weight_n * x;
  }
};
PanelLaw<double> panel_law(const Panel&, double weight_n);

}  // namespace evenstroke
