#pragma once
#include <string>
#include <vector>

#include "evenstroke/procedure/procedure.hpp"

namespace evenstroke {

/// Words of a procedure's steps, the same in files and in Python, each list in the order of its enumeration.
const std::vector<std::string>& step_kinds();   ///< of StepKind
const std::vector<std::string>& loads();        ///< of Rods
const std::vector<std::string>& openings();     ///< of Opening, at a line's end
const std::vector<std::string>& port_openings();   ///< of Opening, at a port: all but "joined"
const std::vector<std::string>& valve_positions();   ///< of the directional valve: extend, retract
const std::vector<std::string>& attitudes();    ///< of Attitude

/// Rules as messages; empty where all is well. Keys with their SI suffix, as in "dwell_s".
std::string misplaced(const std::string& key, StepKind kind);      ///< the key belongs to steps of other kinds
std::string place_rule(const std::string& name);                   ///< of any rig: has a dot
std::string joint_rule(const std::string& name);                   ///< NAME.cap_port, NAME.rod_port, valve_block.a, valve_block.b
std::string name_rule(const std::string& name);                    ///< of a branch
/// A force of hands is given, but they hold nothing.
std::string nothing_held(const Step&, bool force_given);
/// Ends of parted joints are described, but none is parted.
std::string nothing_parted(const Step&, bool ends_given);

}  // namespace evenstroke
