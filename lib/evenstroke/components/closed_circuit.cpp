#include "evenstroke/components/closed_circuit.hpp"

#include <array>

namespace evenstroke {

template <>
std::span<const Field<ClosedCircuit>> fields<ClosedCircuit>() {
  using C = ClosedCircuit;
  using enum Quantity;
  static constexpr std::array<Field<C>, 4> table = {{
      {"makeup_crack", &C::makeup_crack_pa_diff, pressure_diff, 0, 2e5, no_band, no_band, "makeup_check",
       "Pressure that opens a make-up check of a closed circuit."},
      {"makeup", &C::makeup_m3_per_s_pa, conductance_laminar, 1e-12, 1e-7, no_band, no_band, "makeup_check",
       "Flow per pressure through a make-up check of a closed circuit."},
      {"shuttle_area", &C::shuttle_area_m2, area, 1e-8, 1e-3, no_band, no_band, "valve_openings",
       "Opening of the shuttle of a closed circuit."},
      {"shuttle_shift", &C::shuttle_shift_pa_diff, pressure_diff, 1e3, 2e6, no_band, no_band, "check_spring",
       "By how much the other side must have the higher pressure for the shuttle to open this one."},
  }};
  return table;
}

void check(const ClosedCircuit& c, const std::string& where) { check_fields(c, where); }

}  // namespace evenstroke
