#include "evenstroke/components/valve_block.hpp"

#include <array>

#include "evenstroke/components/refuse.hpp"

namespace evenstroke {

template <>
std::span<const Field<ValveBlock>> fields<ValveBlock>() {
  using V = ValveBlock;
  using enum Quantity;
  static constexpr std::array<Field<V>, 14> table = {{
      {"path_area", &V::path_area_m2, area, 1e-8, 1e-3, no_band, no_band, "valve_openings",
       "Opening of each path through the directional valve."},
      {"lowering_area", &V::lowering_area_m2, area, 1e-8, 1e-3, no_band, no_band, "valve_openings",
       "Opening of the lowering restrictor, in the path from A to the reservoir."},
      {"lifting_area", &V::lifting_area_m2, area, 0, 1e-3, no_band, no_band, "valve_openings",
       "Opening of the path from B to the reservoir: a restrictor for a panel that pulls its rods; 0 = as the other paths."},
      {"discharge", &V::discharge, ratio, 0.3, 1, 0.6, 0.65, "valve_discharge",
       "Discharge coefficient of valve paths, bypass valves and ports."},
      {"transition_re", &V::transition_re, ratio, 1, 1e4, no_band, no_band, "valve_transition",
       "Reynolds number at which valve paths, bypass valves and ports turn from laminar to turbulent."},
      {"relief", &V::relief_pa_gauge, pressure_gauge, 1e5, 400e5, no_band, no_band, "nameplate",
       "Pressure at which the relief valve cracks open."},
      {"relief_gain", &V::relief_gain_m3_per_s_pa, conductance_laminar, 1e-13, 1e-8, no_band, no_band, "relief_gain",
       "Flow through the relief valve per pressure above cracking."},
      {"passage", &V::passage_m3, volume, 1e-8, 1e-3, no_band, no_band, "block_passages",
       "Volume of each of the passages P, A and B."},
      {"high_point", &V::high_point_m3, volume, 0, 1e-3, no_band, no_band, "drawing",
       "Part of each passage that lies above its mouths, where gas stays."},
      {"counterbalance", &V::counterbalance_pa_gauge, pressure_gauge, 0, 400e5, no_band, no_band, "nameplate",
       "Pressure at A that opens the counterbalance valve unaided; 0 = there is no such valve."},
      {"pilot_ratio", &V::pilot_ratio, ratio, 1, 12, no_band, no_band, "pilot_ratio",
       "Area of the counterbalance valve's pilot over that of its load."},
      {"counterbalance_gain", &V::counterbalance_gain_m3_per_s_pa, conductance_laminar, 1e-13, 1e-7, no_band, no_band,
       "counterbalance_gain", "Flow through the counterbalance valve per pressure above its opening."},
      {"bleed_area", &V::bleed_area_m2, area, 1e-9, 1e-5, no_band, no_band, "valve_openings",
       "Opening of a bleed screw that is cracked, wherever it sits."},
      {"rating", &ValveBlock::rating_pa_gauge, pressure_gauge, 0, 2000e5, no_band, no_band, "nameplate",
       "Pressure that the valve block is made for; 0 = not stated. A run tells where it is exceeded."},
  }};
  return table;
}

void check(const ValveBlock& v, const std::string& where) {
  check_fields(v, where);
  if (v.lifting_area_m2 > 0 && v.lifting_area_m2 < 1e-8)
    refuse(where, "lifting_area", Quantity::area, v.lifting_area_m2, "must be 0 (as path_area) or at least 1e-8 m2");
  if (v.high_point_m3 > v.passage_m3)
    refuse(where, "high_point", Quantity::volume, v.high_point_m3,
           "is part of a passage: at most " + number_text(v.passage_m3) + " m3");
}

}  // namespace evenstroke
