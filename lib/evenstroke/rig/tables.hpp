#pragma once
#include <string>

#include "evenstroke/base/field.hpp"
#include "evenstroke/rig/rig.hpp"

namespace evenstroke {

/// Calls `visit(prefix, struct)` for every parameter struct of a branch; prefix + SI key is the field's path.
template <class B, class F>
void visit_branch(const std::string& prefix, B& branch, F&& visit) {
  visit(prefix, branch.cylinder);
  visit(prefix + "cap_line_", branch.cap_line);
  visit(prefix + "rod_line_", branch.rod_line);
  visit(prefix, branch.outlet);
}

/// The same for every parameter struct of a rig, in the fixed order of `rig_fields`.
template <class R, class F>
void visit_tables(R& rig, F&& visit) {
  visit(std::string("oil."), rig.oil);
  visit(std::string("pump."), rig.pump);
  visit(std::string("valve_block."), rig.valve_block);
  visit(std::string("reservoir."), rig.reservoir);
  visit(std::string("synchroniser."), rig.synchroniser);
  visit(std::string("panel."), rig.panel);
  visit(std::string("air."), rig.air);
  for (auto& branch : rig.branches) visit_branch("branch." + branch.name + ".", branch, visit);
  visit(std::string("observer."), rig.observer);
  visit(std::string("synchroniser."), rig.spool);
  visit(std::string("synchroniser."), rig.rotary);
  visit(std::string("synchroniser."), rig.series);
  visit(std::string("valve_block."), rig.locks);
  visit(std::string("valve_block."), rig.closed);
}

}  // namespace evenstroke
