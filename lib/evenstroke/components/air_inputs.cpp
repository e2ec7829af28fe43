#include "evenstroke/components/air_inputs.hpp"

#include <array>

#include "evenstroke/components/refuse.hpp"

namespace evenstroke {

template <>
std::span<const Field<AirInputs>> fields<AirInputs>() {
  using A = AirInputs;
  using enum Quantity;
  static constexpr std::array<Field<A>, 19> table = {{
      {"joint", &A::joint_m3, volume, 0, 1e-4, 0.1e-6, 1.5e-6, "air_per_joint",
       "Air taken in by one opened joint, at the standard atmosphere."},
      {"dispersed_share", &A::dispersed_share, ratio, 0, 1, 0, 0.3, "dispersed_air",
       "Share of the first air that is fine bubbles, which hardly rise."},
      {"coarse_share", &A::coarse_share, ratio, 0, 1, 0, 0.5, "coarse_air",
       "Share of the first air that is coarse bubbles; the rest lies in pockets."},
      {"coarse", &A::coarse_m, length, 1e-6, 0.01, 0.5e-3, 2e-3, "coarse_bubble",
       "Diameter of a coarse bubble at the standard atmosphere."},
      {"fine", &A::fine_m, length, 1e-7, 1e-3, 0.05e-3, 0.3e-3, "fine_bubble",
       "Diameter of a fine bubble at the standard atmosphere, less than that of a coarse one."},
      {"slug_slip", &A::slug_slip, ratio, 0, 1, 0, 1, "slug_slip",
       "How far long bubbles outrun the oil: 0 = plug flow, 1 = the film law in full."},
      {"slug_ratio", &A::slug_ratio, ratio, 0, 2.5, no_band, no_band, "slug_ratio_cap",
       "Fixed speed k of long bubbles over that of the oil instead of the film law; 0 = use the law. The slip scales k - 1 of "
       "either."},
      {"slug_rise", &A::slug_rise, ratio, 0, 3, 0.1, 1.5, "slug_rise",
       "Multiplies the speed at which long bubbles rise in lines by themselves; 0 = they do not."},
      {"surface_tension", &A::surface_tension_n_per_m, surface_tension, 0.005, 0.1, no_band, no_band,
       "oil_surface_tension", "Surface tension of the oil against air."},
      {"bunsen", &A::bunsen, ratio, 0, 0.3, 0.08, 0.10, "air_solubility",
       "Air that oil dissolves at 1 atm, as gas at 0 deg C and 1 atm, per volume of oil."},
      {"diffusivity", &A::diffusivity_m2_per_s, diffusivity, 0, 1e-3, 1e-10, 1e-9, "air_diffusivity",
       "Diffusivity of air in the oil; 0 = bubbles neither dissolve nor grow by diffusion."},
      {"release", &A::release_s, time, 1e-9, 1e12, 0.3, 60, "air_release",
       "Time in which supersaturated oil gives off its excess of air."},
      {"saturation", &A::saturation, ratio, 0, 1, 0.8, 1, "air_saturation",
       "Air dissolved in the oil at the start over what it holds at the standard atmosphere."},
      {"pocket_heat", &A::pocket_heat, ratio, 0, 1e9, no_band, no_band, "pocket_heat",
       "Multiplies the time in which a pocket takes the temperature of the wall; 0 = at once."},
      {"pull_through", &A::pull_through, ratio, 0, 0.69, 0, 0.69, "pull_through",
       "How far a port draws gas from above itself: coefficient of the dip; 0 = not at all."},
      {"crowding", &A::crowding, ratio, 0, 10, 3.5, 5, "bubble_crowding",
       "Exponent of the oil's share by which bubbles in a swarm rise slower than one alone."},
      {"froth", &A::froth, ratio, 0.3, 0.99, 0.52, 0.9, "froth_limit",
       "Share of gas above which bubbles that enter a line are one long bubble."},
      {"cavity", &A::cavity_pa_abs, pressure_abs, 1, 5e4, no_band, no_band, "cavity_pressure",
       "Pressure that oil is never drawn below, absolute: from there on a cavity opens."},
      {"shredding", &A::shredding, ratio, 0, 1, 0.5, 1, "pump_shredding",
       "Share of coarse bubbles and slugs that the pump tears into fine bubbles."},
  }};
  return table;
}

void check(const AirInputs& a, const std::string& where) {
  check_fields(a, where);
  if (a.slug_ratio != 0 && a.slug_ratio < 1)
    refuse(where, "slug_ratio", Quantity::ratio, a.slug_ratio,
           "must be 0 (use the film law) or at least 1: in a wetted bore a long bubble is no slower than the oil");
  if (a.dispersed_share + a.coarse_share > 1)
    refuse(where, "coarse_share", Quantity::ratio, a.coarse_share,
           "must leave the sum with dispersed_share, " + number_text(a.dispersed_share) + ", at most 1");
  if (a.fine_m >= a.coarse_m)
    refuse(where, "fine", Quantity::length, a.fine_m,
           "must be less than a coarse bubble, " + number_text(a.coarse_m) + " m");
}

}  // namespace evenstroke
