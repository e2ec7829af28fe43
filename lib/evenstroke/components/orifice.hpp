#pragma once
#include <cmath>

#include "evenstroke/components/through_flow.hpp"

namespace evenstroke {

/// Short restriction without state: valve path, bypass valve, passage.
///   dp = (rho/2) [(q/(Cd A))^2 + 2 a |q|/(Cd A)] sgn q,  so  q = Cd A [sqrt(a^2 + 2|dp|/rho) - a] sgn dp
///   a  = nu Re_t/(2 Cd d_h)      laminar below about Re_t, turbulent square root far above (Borutzky, Barnard and Thoma
///                                2002, from memory); odd, and its slope changes gently, which a linearised stepper needs
///   valid: |dp| well below p; no choking here             tests: tests/components/orifice_test.cpp
template <class T = double>
struct OrificeLaw {
  T laminar;     ///< rho a/(Cd A) [Pa s/m3]
  T turbulent;   ///< rho/(2 Cd^2 A^2) [Pa s2/m6]; 0 = shut
};

/// Law of a round opening of `area_m2` in oil of density `rho` and kinematic viscosity `nu`; area 0 = shut.
/// `transition_re`: Re_t; a sharp round hole has (0.611/0.2)^2 = 9.3 (Merritt 1967, from memory), valve paths 10 to 1000.
OrificeLaw<double> orifice_law(double area_m2, double cd, double rho_kg_per_m3, double nu_m2_per_s, double transition_re);

template <class T>
ThroughFlow<T> flow(const OrificeLaw<T>& o, T p_from, T p_to) {
  using std::sqrt;
  if (!(o.turbulent > T(0))) return {T(0), T(0), T(0)};
  const bool forward = p_from >= p_to;
  const T dp = forward ? p_from - p_to : p_to - p_from;
  const T root = sqrt(o.laminar * o.laminar + T(4) * o.turbulent * dp);
  const T q = T(2) * dp / (o.laminar + root), slope = T(1) / root;
  return {forward ? q : -q, slope, -slope};
}

}  // namespace evenstroke
