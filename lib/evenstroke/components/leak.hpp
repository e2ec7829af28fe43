#pragma once
#include "evenstroke/components/through_flow.hpp"

namespace evenstroke {

/// Laminar leakage past a seal or through a gap: q = G (p_from - p_to).   tests: tests/components/leak_test.cpp
template <class T = double>
struct LeakLaw {
  T conductance_m3_per_s_pa = 0;
};

template <class T>
ThroughFlow<T> flow(const LeakLaw<T>& l, T p_from, T p_to) {
  return {l.conductance_m3_per_s_pa * (p_from - p_to), l.conductance_m3_per_s_pa, -l.conductance_m3_per_s_pa};
}

/// Concentric annular gap: pi d c^3 / (12 mu L) [m3/(s Pa)]; valid: c << d, Re_c < 1000 (Merritt 1967, from memory).
double gap_conductance(double diameter_m, double gap_m, double length_m, double mu_pa_s);

}  // namespace evenstroke
