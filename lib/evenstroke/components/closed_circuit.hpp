#pragma once
#include "evenstroke/base/field.hpp"

namespace evenstroke {

/// A pump that turns both ways between A and B, without a directional valve: what one side of the pistons gives goes to the other.
/// The rods' volume comes from the reservoir through a make-up check on either side; what is too much goes back there
/// through a shuttle that opens the side of lower pressure. A relief valve guards either side, at the setting of the
/// valve block.   tests: tests/limits/closed_circuit_test.cpp
struct ClosedCircuit {
  double makeup_crack_pa_diff = 0.1e5;     ///< of the make-up checks
  double makeup_m3_per_s_pa = 5e-10;       ///< their flow per pressure above it
  double shuttle_area_m2 = 7e-6;
  double shuttle_shift_pa_diff = 0.5e5;    ///< by how much the other side must be higher
};
template <>
std::span<const Field<ClosedCircuit>> fields<ClosedCircuit>();
void check(const ClosedCircuit&, const std::string& where);

}  // namespace evenstroke
