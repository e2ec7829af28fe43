#pragma once
#include <string>
#include <vector>

#include "evenstroke/components/air_inputs.hpp"
#include "evenstroke/components/closed_circuit.hpp"
#include "evenstroke/components/cylinder.hpp"
#include "evenstroke/components/line.hpp"
#include "evenstroke/components/locks.hpp"
#include "evenstroke/components/observer.hpp"
#include "evenstroke/components/outlet.hpp"
#include "evenstroke/components/panel.hpp"
#include "evenstroke/components/pump_motor.hpp"
#include "evenstroke/components/reservoir.hpp"
#include "evenstroke/components/rotary_divider.hpp"
#include "evenstroke/components/series_pair.hpp"
#include "evenstroke/components/spool_divider.hpp"
#include "evenstroke/components/synchroniser.hpp"
#include "evenstroke/components/valve_block.hpp"
#include "evenstroke/fluid/oil.hpp"

namespace evenstroke {

/// One cylinder with the lines to its two ports.
struct Branch {
  std::string name;   ///< "left", "right", ... : a part is "left.cylinder", "left.cap_line", "left.rod_line"
  Cylinder cylinder;
  Line cap_line, rod_line;
  Outlet outlet = {};
};

/// What is bolted together. A plain value; `check` refuses what cannot be built.
struct Rig {
  std::string name;
  Oil oil;
  PumpMotor pump;
  ValveBlock valve_block;
  Reservoir reservoir;
  Synchroniser synchroniser;
  Panel panel;
  AirInputs air;
  std::vector<Branch> branches;   ///< 1 ... 8
  Observer observer;
  SpoolDivider spool;             ///< what of these the synchroniser's and the valve block's kind does not name is not there
  RotaryDivider rotary;
  SeriesPair series;
  Locks locks;
  ClosedCircuit closed;
};

/// Whether a parameter struct counts on this rig: what a kind does not name is not there, and its bands are no unknowns.
template <class P>
bool counts(const Rig&, const P&) { return true; }
inline bool counts(const Rig& r, const SpoolDivider&) { return is_spool(r.synchroniser.kind); }
inline bool counts(const Rig& r, const RotaryDivider&) { return r.synchroniser.kind == SynchroniserKind::rotary_divider; }
inline bool counts(const Rig& r, const SeriesPair&) { return r.synchroniser.kind == SynchroniserKind::series_pair; }
inline bool counts(const Rig& r, const ClosedCircuit&) { return r.valve_block.circuit == CircuitKind::closed; }
inline bool counts(const Rig& r, const Outlet&) {
  return is_spool(r.synchroniser.kind) || r.synchroniser.kind == SynchroniserKind::rotary_divider;
}

/// Throws InputError naming field, value, unit and rule.
void check(const Rig&);

/// A numeric field of a rig by its path with SI key: "air.slug_slip", "branch.left.cap_line_bore_m",
/// "branch.bore_m" (all branches).
struct RigField { std::string path; double value, low, high, band_low, band_high; std::string evidence, help; };
std::vector<RigField> rig_fields(const Rig&);                     ///< every field, per branch, in a fixed order
double get_field(const Rig&, const std::string& path);
void set_field(Rig&, const std::string& path, double value_si);   ///< InputError: unknown path, refused value

/// Names of the parts that can be dry or opened: "left.cylinder", "left.cap_line", "left.rod_line", "valve_block",
/// "synchroniser".
std::vector<std::string> part_names(const Rig&);

}  // namespace evenstroke
