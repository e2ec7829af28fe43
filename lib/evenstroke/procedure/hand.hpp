#pragma once
#include <string>

#include "evenstroke/network/network.hpp"

namespace evenstroke {

/// How one push or pull on a rod went.
struct HandMove {
  int way = 1;                ///< +1 out, -1 in
  double from_m = 0, to_m = 0;
  bool held = true;           ///< friction held the rod at the end; else it was still on its way
  double outward_n = 0;       ///< on the rod at the end, friction left out, the hand's own force included
  double breakaway_n = 0;     ///< of friction there
};

/// Empty where the rod came to the stop it was moved to, within 0.1 % of its travel; else one clause that says how far
/// it came, and what a hand would need to move it on: hand + breakaway - way * outward.
/// tests: tests/procedure/hand_test.cpp
std::string fell_short(const Axis&, const HandMove&);

}  // namespace evenstroke
