#include "evenstroke/components/reservoir.hpp"

#include <array>

#include "evenstroke/components/refuse.hpp"

namespace evenstroke {

template <>
std::span<const Field<Reservoir>> fields<Reservoir>() {
  using R = Reservoir;
  using enum Quantity;
  static constexpr std::array<Field<R>, 11> table = {{
      {"oil", &R::oil_m3, volume, 0, 1, no_band, no_band, "filling", "Oil in the reservoir at the start."},
      {"area", &R::area_m2, area, 1e-4, 1e4, no_band, no_band, "drawing", "Free surface of the oil."},
      {"intake", &R::intake_m, length, 0, 2, no_band, no_band, "drawing", "Height of the intake above the floor."},
      {"capacity", &R::capacity_m3, volume, 1e-5, 1, no_band, no_band, "drawing",
       "Oil the reservoir holds before it runs over."},
      {"height", &R::height_m, length, -20, 20, no_band, no_band, "drawing",
       "Height of the reservoir's floor above the valve block, negative below it."},
      {"return", &R::return_m, length, 0, 2, no_band, no_band, "drawing",
       "Height of the return's mouth above the floor; above the level the return plunges."},
      {"return_bore", &R::return_bore_m, length, 1e-3, 0.1, no_band, no_band, "drawing",
       "Bore of the return at its mouth."},
      {"plunge_onset", &R::plunge_onset_m_per_s, speed, 0, 100, no_band, no_band, "plunge_onset",
       "Speed below which a plunging return carries no air under."},
      {"plunge_share", &R::plunge_share, ratio, 0, 1, 0.03, 0.3, "plunge_share",
       "Air that a very fast plunging return carries under, per volume of oil."},
      {"foam", &R::foam_s, time, 0, 1e5, 10, 300, "foam_collapse", "Time in which foam collapses; 0 = at once."},
      {"container", &R::container_m3, volume, 0, 1, no_band, no_band, "filling",
       "Oil in the container that open ends of lines and ports are held into."},
  }};
  return table;
}

void check(const Reservoir& r, const std::string& where) {
  check_fields(r, where);
  if (r.oil_m3 > r.capacity_m3)
    refuse(where, "oil", Quantity::volume, r.oil_m3,
           "must not exceed the capacity, " + number_text(r.capacity_m3) + " m3");
  if (r.intake_m >= level_m(r, r.capacity_m3))
    refuse(where, "intake", Quantity::length, r.intake_m,
           "must lie below the brim, " + number_text(level_m(r, r.capacity_m3)) + " m above the floor");
}

double level_m(const Reservoir& r, double oil_m3) { return oil_m3 / r.area_m2; }

double air_share(const Reservoir& r, double oil_m3) { return level_m(r, oil_m3) > r.intake_m ? 0.0 : 1.0; }

}  // namespace evenstroke
