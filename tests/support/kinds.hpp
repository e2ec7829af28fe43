#pragma once
#include <array>

#include "evenstroke/rig/rig.hpp"

namespace evenstroke::testing {

inline constexpr std::array all_kinds{SynchroniserKind::tee,            SynchroniserKind::metering_pistons,
                                      SynchroniserKind::spool_divider,  SynchroniserKind::divider_combiner,
                                      SynchroniserKind::rotary_divider, SynchroniserKind::series_pair};

/// A synchroniser of that kind with what must be given, of the size of the bench's and the workshop's packs.
inline Rig with_kind(Rig r, SynchroniserKind kind) {
  r.synchroniser.kind = kind;
  r.spool.rated_flow_m3_per_s = 12e-6;
  r.rotary.section_m3_per_rad = 0.2e-6 / 6.283185307179586;
  r.series.rephasing_area_m2 = 0.3e-6;
  return r;
}

}  // namespace evenstroke::testing
