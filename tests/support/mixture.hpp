#pragma once
#include "evenstroke/air/closure.hpp"

namespace evenstroke::testing {

/// `share` of `volume` is gas at pressure p, the rest oil counted at p0; the wall as compliance per volume [1/Pa].
inline Closure<> mixture(double volume, double share, double p, double wall_per_pa) {
  return {.oil_m3 = (1 - share) * volume, .gas_j = share * volume * p, .wall_m3_per_pa = wall_per_pa * volume,
          .p_floor_pa_abs = 1000, .liquid = {1.6e9, 5.3}};
}

/// What must be made available for the content to stand at p.
inline double available(const Closure<>& c, double p) {
  return content_volume(c, p) - c.wall_m3_per_pa * (p - p0_pa_abs);
}

}  // namespace evenstroke::testing
