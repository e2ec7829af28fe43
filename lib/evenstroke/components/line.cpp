#include "evenstroke/components/line.hpp"

#include <array>
#include <numbers>

#include "evenstroke/base/argument.hpp"
#include "evenstroke/components/refuse.hpp"

namespace evenstroke {

template <>
std::span<const Field<Line>> fields<Line>() {
  using enum Quantity;
  static constexpr std::array<Field<Line>, 10> table = {{
      {"bore", &Line::bore_m, length, 0.5e-3, 25e-3, no_band, no_band, "drawing", "Inner diameter of the line."},
      {"length", &Line::length_m, length, 0.01, 50, no_band, no_band, "drawing", "Length of the line along its run."},
      {"wall", &Line::wall_m, length, 0.1e-3, 20e-3, no_band, no_band, "drawing", "Thickness of the wall."},
      {"wall_modulus", &Line::wall_modulus_pa, modulus, 1e6, 500e9, no_band, no_band, "wall_modulus",
       "Young's modulus of the wall: steel 206 GPa, polyamide 0.4 to 1.2 GPa."},
      {"wall_poisson", &Line::wall_poisson, ratio, 0, 0.5, no_band, no_band, "wall_poisson",
       "Poisson's ratio of the wall: steel 0.3, polyamide 0.4."},
      {"minor_loss", &Line::minor_loss, ratio, 0, 100, 1, 4, "minor_loss",
       "Sum of the loss coefficients of ends, fittings and bends."},
      {"expansion", &Line::expansion_per_pa, compressibility, 0, 1e-6, no_band, no_band, "hose_expansion",
       "Growth of a hose's volume over its volume and the pressure; 0 = by the wall."},
      {"peak", &Line::peak_m, length, -20, 20, no_band, no_band, "drawing",
       "Height of the highest or lowest point on the way, above the valve block, negative below it."},
      {"peak_share", &Line::peak_share, ratio, 0, 0.99, no_band, no_band, "drawing",
       "Where that point lies along the run from the valve block; 0 = there is none."},
      {"rating", &Line::rating_pa_gauge, pressure_gauge, 0, 2000e5, no_band, no_band, "nameplate",
       "Pressure that the line is made for; 0 = not stated."},
  }};
  return table;
}

void check(const Line& l, const std::string& where) {
  check_fields(l, where);
  if (l.peak_m != 0 && l.peak_share == 0)
    refuse(where, "peak", Quantity::length, l.peak_m, "has no place along the run: give peak_share, too");
}

double area_m2(const Line& l) { return std::numbers::pi / 4 * l.bore_m * l.bore_m; }

double volume_m3(const Line& l) { return area_m2(l) * l.length_m; }

double wall_compliance_per_pa(const Line& l) {
  if (l.expansion_per_pa > 0) return l.expansion_per_pa;
  const double inner = l.bore_m / 2, outer = inner + l.wall_m, nu = l.wall_poisson;
  return (2 * (1 + nu) * outer * outer + 3 * (1 - 2 * nu) * inner * inner) /
         (l.wall_modulus_pa * (l.wall_m * (inner + outer)));
}

LineLaw<double> line_law(const Line& l, double share, double rho_kg_per_m3, double nu_m2_per_s) {
  positive("share", share, "-");
  positive("rho_kg_per_m3", rho_kg_per_m3, "kg/m3");
  positive("nu_m2_per_s", nu_m2_per_s, "m2/s");
  const double d = l.bore_m, mu = rho_kg_per_m3 * nu_m2_per_s, area = area_m2(l);
  return {share * 128 * mu * l.length_m / (std::numbers::pi * d * d * d * d),
          share * l.minor_loss * rho_kg_per_m3 / (2 * area * area), 4 / (std::numbers::pi * d * nu_m2_per_s)};
}

}  // namespace evenstroke
