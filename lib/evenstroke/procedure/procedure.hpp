#pragma once
#include <string>
#include <vector>

#include "evenstroke/network/network.hpp"

namespace evenstroke {

/// held: neighbouring rods are held together, by hand or strap
enum class Rods { free, panel, held };

/// stroke  bleed strokes: extend, dwell, retract, dwell, under power
/// hand    strokes of the rods named in `by_hand`, moved by a hand against its own force line; ends at the lower stops
/// stand   nothing moves by will: gravity, rise, release, for `stand_s`; oil and walls may warm or cool meanwhile
/// flush   the pump sends oil through what the joints leave open and out into reservoir or container, in bursts
/// refill  reservoir and container are filled up to where they stood at the start
/// compare one stroke to read the rods, compare.hpp
enum class StepKind { stroke, hand, stand, flush, refill, compare };

struct Step {   // NOLINT(clang-analyzer-optin.performance.Padding): in the order in which a person thinks of it
  StepKind kind = StepKind::stroke;
  bool bypass_open = false;
  double cracked_rad = 0;     ///< bypass valves that are not open, turned by hand so far from shut; 0 ... 100
  int strokes = 1;            ///< 1 ... 1000; of a stand: 1
  double dwell_s = 10;        ///< at each stop, between bursts: motor off, valve left where it is; 0 ... 3600
  Rods rods = Rods::free;
  double held_n = 300;        ///< of held rods: force at which hands give way; 1 ... 5000
  double press_s = 0;         ///< of a stroke: at each stop the motor stays on for so long before the dwell; 0 ... 600
  double extend_v = 0;        ///< of a stroke: at the motor while the rods go out; 0: the supply of the rig; 1 ... 400
  double retract_v = 0;       ///< the same while they come in
  double travel = 1;          ///< of a stroke: it turns once the rods' mean is so far out, share of the way; 0.05 ... 1
  double halt_s = 2;          ///< of a comparison: the halt half way; 0 ... 86400
  bool repeat = true;         ///< belongs to the block that is repeated
  double stand_s = 60;        ///< of a stand; 0 ... 864000
  bool let_go = false;        ///< of a stand: with each kelvin, and once at least, the valve is put both ways, motor off
  double temperature_k = 0;   ///< of a stand: that oil, air and walls have at its end, and from then on; 0: as it is
  bool retract = false;       ///< of a flush: the directional valve stands as for retracting
  int bursts = 1;             ///< of a flush, at most; 1 ... 1000
  double motor_s = 60;        ///< of a flush: motor on in one burst; 0.1 ... 3600
  double clear_m3 = 0;        ///< of a flush: it ends once this much came out free of visible bubbles; 0: after all bursts
  bool refill = false;        ///< of a flush: filled up before every burst
  Connections joints = {};    ///< of hand, stand, flush: what is parted, turned, moved; of a stroke: turned
};

/// Ordered steps, written top to bottom, then the block (the steps marked repeat, which stand together at the
/// end) again and again. Only strokes are counted; the other steps are done on the way to the next stroke. A joint that is
/// parted lets go its pressure, one that is made takes in air (air.joint_m3).
struct Procedure {
  std::string name;
  std::vector<Step> steps;
  int max_strokes = 60;       ///< 1 ... 1000
};

/// Throws InputError for what is wrong on any rig: ranges, and repeated steps that do not stand together at the end.
void check(const Procedure&);
/// The same, and: what the procedure asks must exist on the rig (bypass open needs a synchroniser with bypass valves), and a
/// flush must have a way for its oil.
void check(const Procedure&, const Rig&);

}  // namespace evenstroke
