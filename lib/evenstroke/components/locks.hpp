#pragma once
#include "evenstroke/base/field.hpp"

namespace evenstroke {

/// What holds the rods' oil back behind the ports A and B of the valve block, side by side with its restrictors: a pilot-operated
/// check valve each, opened by the pressure of the other side (components/pilot_check.hpp), and a counterbalance valve at B for a
/// panel that pulls.   tests: tests/limits/closed_circuit_test.cpp
struct Locks {
  double check_a_ratio = 0;                ///< pilot area over seat area of the check at A; 0 = none
  double check_b_ratio = 0;                ///< the same at B; below A_c/A_r of its cylinders it never opens
  double check_spring_pa_diff = 0.35e5;
  double counterbalance_b_pa_gauge = 0;    ///< pressure at B that opens its counterbalance valve alone; 0 = none
};
template <>
std::span<const Field<Locks>> fields<Locks>();
void check(const Locks&, const std::string& where);

}  // namespace evenstroke
