#pragma once
#include <string>
#include <vector>

#include "evenstroke/network/network.hpp"

namespace evenstroke {

enum class Rods { free, panel };

/// stroke  bleed strokes: extend, dwell, retract, dwell, under power
/// hand    strokes of the rods named in `by_hand`, moved by a hand against its own force line; ends at the lower stops
/// stand   nothing moves by will: gravity, rise, release, for `stand_s`
enum class StepKind { stroke, hand, stand };

struct Step {
  StepKind kind = StepKind::stroke;
  bool bypass_open = false;
  int strokes = 1;            ///< 1 ... 1000; of a stand: 1
  double dwell_s = 10;        ///< at each stop, motor off, valve left where it is; 0 ... 3600
  Rods rods = Rods::free;
  bool repeat = true;         ///< belongs to the block that is repeated
  double stand_s = 60;        ///< of a stand; 0 ... 864000
  Connections joints = {};    ///< of hand and stand: what is parted, turned, held; strokes have everything joined
};

/// Ordered steps, written top to bottom, then the block (the steps marked repeat, which stand together at the
/// end) again and again. Only strokes are counted; hand and stand steps are done on the way to the next stroke.
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
