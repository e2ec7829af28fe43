#pragma once
#include <array>

#include "evenstroke/network/network.hpp"
#include "evenstroke/transport/clouds.hpp"

namespace evenstroke {

/// How far bubbles rise in one quantum along a run of two straight parts, in shares of the run towards the far end.
struct Rise {
  double bend = 1;                      ///< where the parts meet
  std::array<double, 2> by = {0, 0};
  bool any() const { return by[0] != 0 || by[1] != 0; }
};
Rise rise_along(const Profile&, double length_m, double rise);   ///< `rise`: U dt/length on a vertical run

/// Moves every cloud: past the bend at the other part's speed; it stops at a high point, where a part is level, and at the
/// ends, and gathers there in a pile; a low point parts it.   tests: tests/transport/swarm_rise_test.cpp
void lift(Clouds&, const Rise&);

}  // namespace evenstroke
