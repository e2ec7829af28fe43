#include "evenstroke/components/valve_block.hpp"

#include <array>

namespace evenstroke {

template <>
std::span<const Field<ValveBlock>> fields<ValveBlock>() {
  using V = ValveBlock;
  using enum Quantity;
  static constexpr std::array<Field<V>, 6> table = {{
      {"path_area", &V::path_area_m2, area, 1e-8, 1e-3, no_band, no_band, "valve_openings",
       "Opening of each path through the directional valve."},
      {"lowering_area", &V::lowering_area_m2, area, 1e-8, 1e-3, no_band, no_band, "valve_openings",
       "Opening of the lowering restrictor, in the path from A to the reservoir."},
      {"transition_re", &V::transition_re, ratio, 1, 1e4, no_band, no_band, "valve_transition",
       "Reynolds number at which valve paths, bypass valves and ports turn from laminar to turbulent."},
      {"relief", &V::relief_pa_gauge, pressure_gauge, 1e5, 400e5, no_band, no_band, "nameplate",
       "Pressure at which the relief valve cracks open."},
      {"relief_gain", &V::relief_gain_m3_per_s_pa, conductance_laminar, 1e-13, 1e-8, no_band, no_band, "relief_gain",
       "Flow through the relief valve per pressure above cracking."},
      {"passage", &V::passage_m3, volume, 1e-8, 1e-3, no_band, no_band, "block_passages",
       "Volume of each of the passages P, A and B."},
  }};
  return table;
}

void check(const ValveBlock& v, const std::string& where) { check_fields(v, where); }

}  // namespace evenstroke
