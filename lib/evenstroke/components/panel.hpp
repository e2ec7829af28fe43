#pragma once
#include <vector>

#include "evenstroke/base/field.hpp"

namespace evenstroke {

/// Guided panel lifted by the rods, with torsional stiffness between neighbours; mass 0 = no panel.
///   W_i = m g share_i + k_c sum_j (x_i - x_j),  k_c = K_t/L^2     share: (1-beta, beta) for two rods, equal for more
///   valid: vertical lift, small tilt, no jamming                    tests: tests/components/panel_test.cpp
struct Panel {
  double mass_kg = required;
  double centre_of_mass = 0.5;             ///< beta: from the first rod, as a share of the spacing [-]
  double spacing_m = 1.0;                  ///< L between neighbouring rods
  double torsion_n_m_per_rad = 0.0;        ///< K_t; 0 = the rods are free of each other
};
template <>
std::span<const Field<Panel>> fields<Panel>();
void check(const Panel&, const std::string& where);
std::vector<double> static_load_n(const Panel&, int branches);
double coupling_n_per_m(const Panel&);     ///< k_c

}  // namespace evenstroke
