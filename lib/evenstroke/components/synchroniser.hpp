#pragma once
#include "evenstroke/base/field.hpp"

namespace evenstroke {

enum class SynchroniserKind { tee, metering_pistons, spool_divider, divider_combiner, rotary_divider, series_pair };
inline constexpr bool is_spool(SynchroniserKind k) {
  return k == SynchroniserKind::spool_divider || k == SynchroniserKind::divider_combiner;
}
/// A tee and a series pair have no bypass valves: no outlet of theirs can be joined to the inlet.
inline constexpr bool has_bypass(SynchroniserKind k) {
  return k != SynchroniserKind::tee && k != SynchroniserKind::series_pair;
}

/// What divides the flow. `tee`: nothing does. Spool divider, rotary divider, series pair: pages of their own, for what is
/// not common to all. `metering_pistons`: one carriage carries a metering piston per branch;
/// travel y from the lower stop (metering chambers full) to travel_m.
///   drive chamber  V_d = V_d0 + sum(A_m) y        metering chamber i  V_i = V_0 + A_m,i (Y - y)
///   carriage force F = p_d sum(A_m,i) - sum(p_i A_m,i)   massless: y' = (F -+ F_run)/B sliding, 0 while it sticks
/// A bypass valve per branch joins the synchroniser's inlet to that branch's outlet; cracked by hand it opens evenly over its turn.
/// tests: tests/components/synchroniser_test.cpp
struct Synchroniser {
  SynchroniserKind kind = SynchroniserKind::tee;
  double over_travel = 0.02;               ///< metered volume beyond the cylinder's stroke volume [-]
  double clearance_m3 = 2e-6;              ///< of the drive chamber and of each metering chamber at its smallest
  double outlet_m3 = 1e-6;                 ///< passage between what divides, bypass valve and cap line
  double breakaway_pa_diff = 1.5e5;        ///< on the sum of the metering areas
  double running_share = 0.65;             ///< running over breakaway friction [-]
  double viscous_n_s_per_m = 800;          ///< B
  double leak_m3_per_s_pa = 1e-16;         ///< past each metering piston
  double bypass_area_m2 = 5e-6;            ///< opening of a bypass valve
  double bypass_turn_rad = 6.283185307179586;   ///< from shut to wide open
  double bypass_leak_area_m2 = 0;          ///< what a shut bypass valve still lets through
  double rating_pa_gauge = 0;              ///< pressure it is made for; 0 = not stated
};
template <>
std::span<const Field<Synchroniser>> fields<Synchroniser>();
void check(const Synchroniser&, const std::string& where);

}  // namespace evenstroke
