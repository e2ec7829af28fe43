#include "evenstroke/components/cylinder.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "evenstroke/components/refuse.hpp"

namespace evenstroke {

template <>
std::span<const Field<Cylinder>> fields<Cylinder>() {
  using C = Cylinder;
  using enum Quantity;
  static constexpr std::array<Field<C>, 17> table = {{
      {"bore", &C::bore_m, length, 5e-3, 0.2, no_band, no_band, "drawing", "Inner diameter of the tube."},
      {"rod", &C::rod_m, length, 1e-3, 0.19, no_band, no_band, "drawing", "Diameter of the rod, less than the bore."},
      {"stroke", &C::stroke_m, length, 0.01, 3, no_band, no_band, "drawing", "Travel of the rod between its stops."},
      {"tube", &C::tube_m, length, 0, 4, no_band, no_band, "drawing",
       "Inner length of the tube, more than the stroke; 0 = not given."},
      {"cap_clearance", &C::cap_clearance_m3, volume, 1e-8, 1e-3, 1.0e-6, 2.0e-6, "cylinder_clearance",
       "Oil left on the cap side with the rod fully in."},
      {"rod_clearance", &C::rod_clearance_m3, volume, 1e-8, 1e-3, 1.0e-6, 2.0e-6, "cylinder_clearance",
       "Oil left on the rod side with the rod fully out."},
      {"cap_port", &C::cap_port_m, length, 0, 0.2, no_band, no_band, "drawing",
       "Distance of the cap port from the cap end; with a level cylinder, from the top of the bore."},
      {"rod_port", &C::rod_port_m, length, 0, 0.2, no_band, no_band, "drawing",
       "Distance of the rod port from the rod end; with a level cylinder, from the top of the bore."},
      {"breakaway", &C::breakaway_pa_diff, pressure_diff, 0, 2e6, 1e5, 4e5, "seal_breakaway",
       "Pressure on the cap area that sets the unloaded rod moving."},
      {"running_share", &C::running_share, ratio, 0, 1, 0.5, 0.8, "seal_running_share",
       "Friction of the moving seals over that at breakaway."},
      {"viscous", &C::viscous_n_s_per_m, friction_viscous, 1, 1e6, no_band, no_band, "seal_viscous",
       "Growth of friction with speed."},
      {"leak", &C::leak_m3_per_s_pa, conductance_laminar, 0, 1e-11, 0, 1e-15, "piston_leak",
       "Leakage past the piston per pressure across it."},
      {"height", &C::height_m, length, -20, 20, no_band, no_band, "drawing",
       "Height of the cap port above the valve block, negative below it."},
      {"dwell_growth", &C::dwell_growth, ratio, 0, 1, 0, 0.3, "seal_dwell",
       "Growth of the friction at breakaway for each tenfold rest beyond 1 s."},
      {"seal", &C::seal_m3_per_s_pa, conductance_laminar, 0, 1e-8, no_band, no_band, "rod_seal_air",
       "Air drawn in past the rod seal per pressure below its opening; 0 = tight."},
      {"seal_crack", &C::seal_crack_pa_diff, pressure_diff, 100, 1e5, 0.1e5, 0.6e5, "rod_seal_air",
       "Pressure below the atmosphere at which the rod seal begins to let air in."},
      {"rating", &C::rating_pa_gauge, pressure_gauge, 0, 2000e5, no_band, no_band, "nameplate",
       "Pressure that the cylinder is made for, on either side; 0 = not stated."},
  }};
  return table;
}

namespace {

/// A port farther from the end than the clearance reaches is shut by the piston at its stop.
void check_port(const Cylinder& c, const std::string& where, std::string_view name, double port_m, double length_m) {
  if (c.attitude == Attitude::level) {
    if (port_m > c.bore_m)
      refuse(where, name, Quantity::length, port_m, "must not lie below the bore: at most " + short_text(1e3 * c.bore_m) +
             " mm from its top");
  } else if (port_m > length_m) {
    refuse(where, name, Quantity::length, port_m,
           "must lie within the clearance, which reaches " + short_text(1e3 * length_m) +
           " mm from the end: the piston would shut the port");
  }
}

/// Share of the bore's circle above a chord at `depth` from the top.
double segment_share(double bore_m, double depth_m) {
  const double half_angle = std::acos(std::clamp(1 - 2 * depth_m / bore_m, -1.0, 1.0));
  return (half_angle - std::sin(half_angle) * std::cos(half_angle)) / std::numbers::pi;
}

/// The rod's own section is left out of the level case: the same share holds for both chambers.
double trap_m3(const Cylinder& c, bool end_is_up, double chamber_m3, double area_m2, double port_m) {
  if (c.attitude == Attitude::level) return chamber_m3 * segment_share(c.bore_m, port_m);
  const double beside_end = std::clamp(area_m2 * port_m, 0.0, chamber_m3);
  return end_is_up ? beside_end : chamber_m3 - beside_end;
}

double circle_m2(double diameter_m) { return std::numbers::pi / 4 * diameter_m * diameter_m; }

}  // namespace

void check(const Cylinder& c, const std::string& where) {
  check_fields(c, where);
  if (c.rod_m >= c.bore_m)
    refuse(where, "rod", Quantity::length, c.rod_m, "must be thinner than the bore, " + short_text(1e3 * c.bore_m) + " mm");
  if (c.tube_m > 0 && c.stroke_m >= c.tube_m)
    refuse(where, "stroke", Quantity::length, c.stroke_m,
           "must be shorter than the tube, " + short_text(1e3 * c.tube_m) + " mm");
  check_port(c, where, "cap_port", c.cap_port_m, c.cap_clearance_m3 / cap_area_m2(c));
  check_port(c, where, "rod_port", c.rod_port_m, c.rod_clearance_m3 / rod_area_m2(c));
}

double cap_area_m2(const Cylinder& c) { return circle_m2(c.bore_m); }

double rod_area_m2(const Cylinder& c) { return circle_m2(c.bore_m) - circle_m2(c.rod_m); }

double breakaway_n(const Cylinder& c) { return c.breakaway_pa_diff * cap_area_m2(c); }

double rod_port_height_m(const Cylinder& c) {
  if (c.attitude == Attitude::level) return c.height_m;
  return c.attitude == Attitude::rod_up ? c.height_m + c.stroke_m : c.height_m - c.stroke_m;
}

double breakaway_after_n(double breakaway_n, double growth, double rest_s) {
  return breakaway_n * (1 + growth * std::log10(1 + std::max(0.0, rest_s)));
}

double cap_trap_m3(const Cylinder& c, double x_m) {
  const double chamber_m3 = c.cap_clearance_m3 + cap_area_m2(c) * std::clamp(x_m, 0.0, c.stroke_m);
  return trap_m3(c, c.attitude == Attitude::rod_down, chamber_m3, cap_area_m2(c), c.cap_port_m);
}

double rod_trap_m3(const Cylinder& c, double x_m) {
  const double chamber_m3 = c.rod_clearance_m3 + rod_area_m2(c) * (c.stroke_m - std::clamp(x_m, 0.0, c.stroke_m));
  return trap_m3(c, c.attitude == Attitude::rod_up, chamber_m3, rod_area_m2(c), c.rod_port_m);
}

}  // namespace evenstroke
