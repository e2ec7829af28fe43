#include "evenstroke/components/series_pair.hpp"

#include <array>

namespace evenstroke {

template <>
std::span<const Field<SeriesPair>> fields<SeriesPair>() {
  using S = SeriesPair;
  using enum Quantity;
  static constexpr std::array<Field<S>, 2> table = {{
      {"rephasing_area", &S::rephasing_area_m2, area, 0, 1e-4, no_band, no_band, "drawing",
       "Passage past each piston of a series pair at the ends of its stroke; 0 = there is none."},
      {"rephasing_way", &S::rephasing_way_m, length, 1e-4, 0.1, no_band, no_band, "drawing",
       "Last part of the stroke over which the re-phasing passage opens."},
  }};
  return table;
}

void check(const SeriesPair& s, const std::string& where) { check_fields(s, where); }

}  // namespace evenstroke
