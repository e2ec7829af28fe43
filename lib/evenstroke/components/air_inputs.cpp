#include "evenstroke/components/air_inputs.hpp"

#include <array>

#include "evenstroke/components/refuse.hpp"

namespace evenstroke {

template <>
std::span<const Field<AirInputs>> fields<AirInputs>() {
  using A = AirInputs;
  using enum Quantity;
  static constexpr std::array<Field<A>, 5> table = {{
      {"joint", &A::joint_m3, volume, 0, 1e-4, 0.1e-6, 1.5e-6, "air_per_joint",
       "Air taken in by one opened joint, at the standard atmosphere."},
      {"dispersed_share", &A::dispersed_share, ratio, 0, 1, 0, 0.3, "dispersed_air",
       "Share of the first air that is bubbles too fine to rise."},
      {"slug_slip", &A::slug_slip, ratio, 0, 1, 0, 1, "slug_slip",
       "How far long bubbles outrun the oil: 0 = plug flow, 1 = the film law in full."},
      {"slug_ratio", &A::slug_ratio, ratio, 0, 2.5, no_band, no_band, "slug_ratio_cap",
       "Fixed speed of long bubbles over that of the oil instead of the film law; 0 = use the law."},
      {"surface_tension", &A::surface_tension_n_per_m, surface_tension, 0.005, 0.1, no_band, no_band,
       "oil_surface_tension", "Surface tension of the oil against air."},
  }};
  return table;
}

void check(const AirInputs& a, const std::string& where) {
  check_fields(a, where);
  if (a.slug_ratio != 0 && a.slug_ratio < 1)
    refuse(where, "slug_ratio", Quantity::ratio, a.slug_ratio,
           "must be 0 (use the film law) or at least 1: in a wetted bore a long bubble is no slower than the oil");
}

}  // namespace evenstroke
