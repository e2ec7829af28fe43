#include "evenstroke/components/rotary_divider.hpp"

#include <array>

#include "evenstroke/components/refuse.hpp"

namespace evenstroke {

template <>
std::span<const Field<RotaryDivider>> fields<RotaryDivider>() {
  using R = RotaryDivider;
  using enum Quantity;
  static constexpr std::array<Field<R>, 7> table = {{
      {"section", &R::section_m3_per_rad, displacement, 0, 1e-4, no_band, no_band, "nameplate",
       "Displacement of one section of a rotary divider; must be given for one."},
      {"section_slip", &R::section_slip, pump_slip, 0, 1e-5, 5e-8, 3e-7, "pump_slip", "Slip coefficient of a section."},
      {"shaft_torque", &R::shaft_torque_n_m, torque, 0, 10, 0.01, 0.1, "divider_torque",
       "Friction torque of the turning shaft with all sections."},
      {"shaft_breakaway", &R::shaft_breakaway, ratio, 1, 3, no_band, no_band, "divider_torque",
       "Torque that sets the shaft turning, over that while it turns."},
      {"shaft_drag", &R::shaft_drag_n_m_s, drag_torque, 1e-7, 1, no_band, no_band, "divider_torque",
       "Growth of the shaft's torque with speed."},
      {"outlet_relief", &R::outlet_relief_pa_gauge, pressure_gauge, 0, 400e5, no_band, no_band, "nameplate",
       "Pressure at which the relief valve of each outlet cracks open; 0 = there is none."},
      {"makeup", &R::makeup_m3_per_s_pa, conductance_laminar, 0, 1e-7, no_band, no_band, "makeup_check",
       "Flow per pressure through the make-up check from the reservoir into each outlet; 0 = there is none."},
  }};
  return table;
}

void check(const RotaryDivider& r, const std::string& where) {
  check_fields(r, where);
  if (r.section_m3_per_rad < 1e-10)
    refuse(where, "section", Quantity::displacement, r.section_m3_per_rad,
           "must be given for a rotary divider, from its nameplate");
  if (r.outlet_relief_pa_gauge > 0 && r.outlet_relief_pa_gauge < 1e5)
    refuse(where, "outlet_relief", Quantity::pressure_gauge, r.outlet_relief_pa_gauge, "must be 0 (none) or at least 1 bar");
}

}  // namespace evenstroke
