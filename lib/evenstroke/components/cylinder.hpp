#pragma once
#include "evenstroke/base/field.hpp"

namespace evenstroke {

/// How the cylinder stands; decides which end is the roof under which gas collects.
enum class Attitude { rod_up, rod_down, level };

/// Double-acting cylinder; rod extension x in [0, stroke].
///   V_cap = V_c0 + A_c x      V_rod = V_r0 + A_r (S - x)
///   F = p_c A_c - p_r A_r - p0 A_rod - W          (absolute pressures; atmosphere on the rod)
///   massless: v = (F -+ F_run)/B while it slides; 0 while |F| <= F_break or at a stop
/// tests: tests/components/cylinder_test.cpp
struct Cylinder {
  double bore_m = required;
  double rod_m = required;
  double stroke_m = required;
  double tube_m = 0.0;                     ///< length of the tube; 0 = not given
  double cap_clearance_m3 = 1.5e-6;        ///< V_c0
  double rod_clearance_m3 = 1.5e-6;        ///< V_r0
  double cap_port_m = 0.0;                 ///< distance of the cap port from the cap end (level: from the bore's top)
  double rod_port_m = 0.0;                 ///< distance of the rod port from the rod end (level: from the bore's top)
  double breakaway_pa_diff = 2.0e5;        ///< on the cap area
  double running_share = 0.65;             ///< running over breakaway friction [-]
  double viscous_n_s_per_m = 400;          ///< B
  double leak_m3_per_s_pa = 1e-16;         ///< past the piston
  double height_m = 0.0;                   ///< of the cap port above the valve block
  double dwell_growth = 0.1;               ///< growth of breakaway per decade of rest beyond 1 s [-]
  double seal_m3_per_s_pa = 0.0;           ///< air drawn in past the rod seal per pressure; 0 = tight
  double seal_crack_pa_diff = 0.2e5;       ///< pressure below p0 at which the rod seal begins to let air in
  double rating_pa_gauge = 0;              ///< pressure it is made for; 0 = not stated
  Attitude attitude = Attitude::rod_down;
};
template <>
std::span<const Field<Cylinder>> fields<Cylinder>();
void check(const Cylinder&, const std::string& where);
double cap_area_m2(const Cylinder&);
double rod_area_m2(const Cylinder&);       ///< annulus
double breakaway_n(const Cylinder&);
double rod_port_height_m(const Cylinder&); ///< above the valve block: a stroke over or under the cap port, or level
/// Breakaway after a rest: F [1 + growth log10(1 + t/1 s)]. Growth 0 to 0.3 covers +20 to +100 % after hours.
double breakaway_after_n(double breakaway_n, double growth, double rest_s);

/// Chamber volume above the port's mouth, where gas stays out of the port's reach [m3]; 0 ... the chamber's volume.
///   port end uppermost: A * port       port end lowest: V - A * port       level: V * segment share above the port
double cap_trap_m3(const Cylinder&, double x_m);
double rod_trap_m3(const Cylinder&, double x_m);

}  // namespace evenstroke
