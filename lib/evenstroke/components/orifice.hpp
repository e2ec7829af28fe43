#pragma once
#include <cmath>

#include "evenstroke/components/ramp.hpp"
#include "evenstroke/components/through_flow.hpp"

namespace evenstroke {

/// Short restriction without state: valve path, bypass valve, passage.
///   dp = (rho/2) [(q/(Cd A))^2 + 2 a |q|/(Cd A)] sgn q,  so  q = Cd A [sqrt(a^2 + 2|dp|/rho) - a] sgn dp
///   a  = nu Re_t/(2 Cd d_h)      laminar below about Re_t, turbulent square root far above (Borutzky, Barnard and Thoma
///                                2002, from memory); odd, and its slope changes gently, which a linearised stepper needs
///   valid: oil without gas                tests: tests/components/orifice_test.cpp, orifice_mixture_test.cpp
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

/// Drop over a restriction that chokes, and its slopes: min(dp, (1 - choke) p_up), the corner rounded over a tenth of the
/// limit, so at most 1.25 % below it. `choke`: share of p_up that drives no flow; 0 = never chokes. Pressures abs.
template <class T>
struct ChokedDrop {
  T dp, d_up, d_down;
};
template <class T>
ChokedDrop<T> choked_drop(T p_up, T p_down, T choke) {
  if (!(choke > T(0))) return {p_up - p_down, T(1), T(-1)};
  constexpr double round = 0.1;
  const T share = T(1) - choke, limit = share * p_up;
  if (!(limit > T(0))) return {T(0), T(0), T(0)};
  const Ramp<T> spare = ramp(limit - (p_up - p_down), T(round) * limit);
  const T by_width = spare.slope * (T(1) - spare.slope) / T(2);   // the corner's width grows with p_up, too
  return {limit - spare.y, share + spare.slope * choke - T(round) * share * by_width, -spare.slope};
}

/// The same opening for a mixture: factors on the oil's density and dynamic viscosity, and what chokes coming from
/// either side. Nothing downstream is felt once it chokes.
template <class T>
ThroughFlow<T> flow(const OrificeLaw<T>& o, T p_from, T p_to, T density_factor, T viscosity_factor, T choke_from,
                    T choke_to) {
  using std::sqrt;
  if (!(o.turbulent > T(0))) return {T(0), T(0), T(0)};
  const T laminar = o.laminar * viscosity_factor, turbulent = o.turbulent * density_factor;
  const bool forward = p_from >= p_to;
  const ChokedDrop<T> drop = forward ? choked_drop(p_from, p_to, choke_from) : choked_drop(p_to, p_from, choke_to);
  const T root = sqrt(laminar * laminar + T(4) * turbulent * drop.dp);
  const T q = T(2) * drop.dp / (laminar + root), up = drop.d_up / root, down = drop.d_down / root;
  if (forward) return {q, up, down};
  return {-q, -down, -up};
}

}  // namespace evenstroke
