#include "evenstroke/components/synchroniser.hpp"

#include <array>

#include "evenstroke/components/refuse.hpp"

namespace evenstroke {

template <>
std::span<const Field<Synchroniser>> fields<Synchroniser>() {
  using S = Synchroniser;
  using enum Quantity;
  static constexpr std::array<Field<S>, 11> table = {{
      {"over_travel", &S::over_travel, ratio, 0, 0.5, no_band, no_band, "over_travel",
       "Metered volume beyond the stroke volume of the cylinder, as a share of it."},
      {"clearance", &S::clearance_m3, volume, 1e-8, 1e-3, no_band, no_band, "synchroniser_volumes",
       "Oil left in the drive chamber and in each metering chamber at its smallest."},
      {"outlet", &S::outlet_m3, volume, 1e-8, 1e-3, no_band, no_band, "synchroniser_volumes",
       "Volume of each passage between what divides, bypass valve and cap line."},
      {"breakaway", &S::breakaway_pa_diff, pressure_diff, 0, 2e6, 1e5, 3e5, "seal_breakaway",
       "Pressure on the sum of the metering areas that sets the carriage moving."},
      {"running_share", &S::running_share, ratio, 0, 1, 0.5, 0.8, "seal_running_share",
       "Friction of the moving seals over that at breakaway."},
      {"viscous", &S::viscous_n_s_per_m, friction_viscous, 1, 1e6, no_band, no_band, "seal_viscous",
       "Growth of friction with speed."},
      {"leak", &S::leak_m3_per_s_pa, conductance_laminar, 0, 1e-11, 0, 1e-15, "piston_leak",
       "Leakage past each metering piston per pressure across it."},
      {"bypass_area", &S::bypass_area_m2, area, 1e-8, 1e-3, no_band, no_band, "valve_openings",
       "Opening of a bypass valve."},
      {"bypass_turn", &S::bypass_turn_rad, angle, 0.1, 100, no_band, no_band, "drawing",
       "Angle over which a bypass valve opens evenly from shut to wide open."},
      {"bypass_leak_area", &S::bypass_leak_area_m2, area, 0, 1e-6, no_band, no_band, "valve_openings",
       "Opening left in a bypass valve that is shut; 0 = tight."},
      {"rating", &Synchroniser::rating_pa_gauge, pressure_gauge, 0, 2000e5, no_band, no_band, "nameplate",
       "Pressure that the synchroniser is made for; 0 = not stated."},
  }};
  return table;
}

void check(const Synchroniser& s, const std::string& where) {
  check_fields(s, where);
  if (s.bypass_leak_area_m2 > s.bypass_area_m2)
    refuse(where, "bypass_leak_area", Quantity::area, s.bypass_leak_area_m2,
           "must not exceed bypass_area, " + number_text(s.bypass_area_m2) + " m2");
}

}  // namespace evenstroke
