#include "evenstroke/components/spool_divider.hpp"

#include <array>
#include <cmath>

#include "evenstroke/components/refuse.hpp"

namespace evenstroke {

template <>
std::span<const Field<SpoolDivider>> fields<SpoolDivider>() {
  using S = SpoolDivider;
  using enum Quantity;
  static constexpr std::array<Field<S>, 11> table = {{
      {"rated_flow", &S::rated_flow_m3_per_s, flow, 0, 1e-2, no_band, no_band, "nameplate",
       "Rated flow at the inlet of a spool divider; must be given for one."},
      {"rated_drop", &S::rated_drop_pa_diff, pressure_diff, 1e4, 5e6, no_band, no_band, "divider_drop",
       "Pressure over a fixed orifice of the spool divider at half of the rated flow."},
      {"edge_share", &S::edge_share, ratio, 1, 20, no_band, no_band, "divider_edges",
       "Full opening of an edge of the spool over a fixed orifice."},
      {"least_opening", &S::least_opening, ratio, 0, 0.2, 0.002, 0.03, "divider_least",
       "What an edge still lets through with the spool at its stop, as a share of its full opening."},
      {"spool_area", &S::spool_area_m2, area, 1e-6, 1e-2, no_band, no_band, "divider_spool", "Face of the spool."},
      {"spool_way", &S::spool_way_m, length, 1e-4, 2e-2, no_band, no_band, "divider_spool",
       "Way of the spool from the middle to either stop."},
      {"spring", &S::spring_n_per_m, stiffness, 0, 1e6, 200, 1500, "divider_spring", "Stiffness of the spool's centring springs."},
      {"flow_force", &S::flow_force, ratio, 0, 1, 0.2, 0.43, "divider_flow_force",
       "Flow force on the spool over opening and pressure drop of an edge."},
      {"transition_re", &S::transition_re, ratio, 1, 1e4, no_band, no_band, "valve_transition",
       "Reynolds number at which the divider's sharp edges turn from laminar to turbulent."},
      {"spool_breakaway", &S::spool_breakaway_n, force, 0, 100, 0.05, 1, "divider_friction",
       "Force that sets the spool moving."},
      {"spool_viscous", &S::spool_viscous_n_s_per_m, friction_viscous, 0.1, 1e5, no_band, no_band, "divider_spool",
       "Growth of the spool's friction with speed."},
  }};
  return table;
}

void check(const SpoolDivider& s, const std::string& where) {
  check_fields(s, where);
  if (s.rated_flow_m3_per_s < 1e-8)
    refuse(where, "rated_flow", Quantity::flow, s.rated_flow_m3_per_s, "must be given for a spool divider, from its nameplate");
}

double fixed_area_m2(const SpoolDivider& s, double discharge, double rho_kg_per_m3) {
  return s.rated_flow_m3_per_s / 2 / (discharge * std::sqrt(2 * s.rated_drop_pa_diff / rho_kg_per_m3));
}

}  // namespace evenstroke
