#pragma once
#include "evenstroke/base/field.hpp"

namespace evenstroke {

/// Cylinders in series: the rod side of each feeds the cap side of the next, in the order of the branches; for rods in step the
/// annulus of one is the bore area of the next, A_r,1 = A_c,2.
///   p_mid = (W_2 + p_B A_r,2)/A_c,2      p_1 = (W_1 + p_mid A_r,1)/A_c,1      so the first carries all loads
/// What the link between them gains or loses stays as a difference of the rods, until a passage past each piston, open over the last
/// part of the stroke at both ends, lets it through: the rods are re-phased there, and air leaves the link there.
/// tests: tests/limits/series_pair_test.cpp
struct SeriesPair {
  double rephasing_area_m2 = 0;            ///< of the passage past each piston, wide open; 0 = there is none
  double rephasing_way_m = 3e-3;           ///< last part of the stroke over which it opens
};
template <>
std::span<const Field<SeriesPair>> fields<SeriesPair>();
void check(const SeriesPair&, const std::string& where);

}  // namespace evenstroke
