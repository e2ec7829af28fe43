#include "evenstroke/components/locks.hpp"

#include <array>

#include "evenstroke/components/refuse.hpp"

namespace evenstroke {

template <>
std::span<const Field<Locks>> fields<Locks>() {
  using L = Locks;
  using enum Quantity;
  static constexpr std::array<Field<L>, 4> table = {{
      {"check_a_ratio", &L::check_a_ratio, ratio, 0, 12, no_band, no_band, "nameplate",
       "Pilot ratio of a pilot-operated check valve at A, which holds the rods out; 0 = there is none."},
      {"check_b_ratio", &L::check_b_ratio, ratio, 0, 12, no_band, no_band, "nameplate",
       "Pilot ratio of a pilot-operated check valve at B, which holds the rods in; 0 = there is none."},
      {"check_spring", &L::check_spring_pa_diff, pressure_diff, 0, 1e6, no_band, no_band, "check_spring",
       "Spring of the pilot-operated check valves."},
      {"counterbalance_b", &L::counterbalance_b_pa_gauge, pressure_gauge, 0, 400e5, no_band, no_band, "nameplate",
       "Pressure at B that opens a counterbalance valve there unaided; 0 = there is none."},
  }};
  return table;
}

void check(const Locks& l, const std::string& where) {
  check_fields(l, where);
  for (const auto& [name, value] : {std::pair{"check_a_ratio", l.check_a_ratio}, std::pair{"check_b_ratio", l.check_b_ratio}})
    if (value > 0 && value < 1) refuse(where, name, Quantity::ratio, value, "must be 0 (none) or at least 1");
  if (l.check_b_ratio > 0 && l.counterbalance_b_pa_gauge > 0)
    refuse(where, "counterbalance_b", Quantity::pressure_gauge, l.counterbalance_b_pa_gauge,
           "B has a pilot-operated check valve already: give one of the two");
}

}  // namespace evenstroke
