#pragma once
#include <string>
#include <vector>

#include "evenstroke/rig/rig.hpp"

namespace evenstroke {

enum class Rods { free, panel };

/// One kind of step so far: bleed strokes (extend, dwell, retract, dwell) with the bypass valves open or closed.
struct Step {
  bool bypass_open = false;
  int strokes = 1;            ///< 1 ... 1000
  double dwell_s = 10;        ///< at each stop, motor off, valve left where it is; 0 ... 3600
  Rods rods = Rods::free;
  bool repeat = true;         ///< belongs to the block that is repeated
};

/// Ordered steps, written top to bottom, then the block (the steps marked repeat, which stand together at the
/// end) again and again.
struct Procedure {
  std::string name;
  std::vector<Step> steps;
  int max_strokes = 60;       ///< 1 ... 1000
};

/// Throws InputError for what is wrong on any rig: ranges, and repeated steps that do not stand together at the end.
void check(const Procedure&);
/// The same, and: what the procedure asks must exist on the rig (bypass open needs a synchroniser with bypass valves).
void check(const Procedure&, const Rig&);

}  // namespace evenstroke
