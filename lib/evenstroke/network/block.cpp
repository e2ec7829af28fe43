// Pump and valve block of a network: Builder::block.
#include "evenstroke/network/builder.hpp"

namespace evenstroke {
namespace {

constexpr double full_lift_pa = 5e5;   // over a pilot-operated valve's lift, our estimate; a stiffer one hunts

}  // namespace

/// Place from which the circuit goes on behind a port of the valve block; none where it is parted there.
int Builder::onward(const std::string& port, int place) {
  if (!parted(port)) return place;
  if (joints.port != Opening::capped)
    orifice(port, Switch::always, place, outside(joints.port), n.rig.valve_block.path_area_m2);
  return no_place;
}

/// From port A or B back to the reservoir: restrictor, counterbalance valve or pilot-operated check.
void Builder::return_path(bool a, int from, int pilot) {
  const ValveBlock& v = n.rig.valve_block;
  const Locks& l = n.rig.locks;
  const std::string name = a ? "valve.a_to_reservoir" : "valve.b_to_reservoir";
  const Switch gate = a ? Switch::retract : Switch::extend;
  const double crack = a ? v.counterbalance_pa_gauge : l.counterbalance_b_pa_gauge, ratio = a ? l.check_a_ratio : l.check_b_ratio;
  const double area = a ? v.lowering_area_m2 : v.lifting_area_m2 > 0 ? v.lifting_area_m2 : v.path_area_m2;
  if (crack > 0) {
    n.counterbalances.push_back({.crack_pa_diff = crack, .gain = v.counterbalance_gain_m3_per_s_pa, .pilot_ratio = v.pilot_ratio});
    join(name, EdgeKind::counterbalance, gate, from, reservoir_place, n.counterbalances.size() - 1).pilot = pilot;
  } else if (ratio > 0) {
    released(name, gate, from, reservoir_place, area, pilot, {ratio, l.check_spring_pa_diff, full_lift_pa});
  } else {
    orifice(name, gate, from, reservoir_place, area);
  }
}

Builder::Block Builder::open_circuit() {
  const ValveBlock& v = n.rig.valve_block;
  const int p = passage("valve_block.p", "valve_block", v.passage_m3), a = passage("valve_block.a", "valve_block", v.passage_m3),
            b = passage("valve_block.b", "valve_block", v.passage_m3);
  join("pump", EdgeKind::pump, Switch::motor, reservoir_place, p, 0);
  join("relief", EdgeKind::relief, Switch::always, p, reservoir_place, 0);
  orifice("valve.p_to_a", Switch::extend, p, a, v.path_area_m2);
  return_path(false, b, a);
  orifice("valve.p_to_b", Switch::retract, p, b, v.path_area_m2);
  return_path(true, a, b);
  return {onward("valve_block.a", a), onward("valve_block.b", b)};
}

/// Behind the pump's ports pump_a and pump_b stand the pilot-operated checks, or just a path.
Builder::Block Builder::closed_circuit() {
  const ValveBlock& v = n.rig.valve_block;
  const ClosedCircuit& k = n.rig.closed;
  const Locks& l = n.rig.locks;
  constexpr double full_pa = full_lift_pa, round_pa = 1e4, check_gain = 5e-9;   // wide, our estimate
  const int pa = passage("valve_block.pump_a", "valve_block", v.passage_m3), pb = passage("valve_block.pump_b", "valve_block", v.passage_m3);
  const int a = passage("valve_block.a", "valve_block", v.passage_m3), b = passage("valve_block.b", "valve_block", v.passage_m3);
  join("pump", EdgeKind::pump, Switch::motor_extend, pb, pa, 0);
  join("pump.back", EdgeKind::pump, Switch::motor_retract, pa, pb, 0);
  leak("pump.slip", pa, pb, n.pump.q_slip);                // a pump that stands is no lock
  n.edges.back().gate = Switch::standing;
  join("relief", EdgeKind::relief, Switch::always, pa, reservoir_place, 0);
  join("relief.b", EdgeKind::relief, Switch::always, pb, reservoir_place, 0);
  spill("makeup.a", reservoir_place, pa, k.makeup_crack_pa_diff, k.makeup_m3_per_s_pa, round_pa);
  spill("makeup.b", reservoir_place, pb, k.makeup_crack_pa_diff, k.makeup_m3_per_s_pa, round_pa);
  released("shuttle.a", Switch::always, pa, reservoir_place, k.shuttle_area_m2, pb, {1.0, k.shuttle_shift_pa_diff, full_pa});
  released("shuttle.b", Switch::always, pb, reservoir_place, k.shuttle_area_m2, pa, {1.0, k.shuttle_shift_pa_diff, full_pa});
  const auto port = [&](const std::string& name, double ratio, int inside, int out, int other, double area) {
    if (ratio <= 0) {
      orifice(name + "path", Switch::always, inside, out, area);
      return;
    }
    spill(name + "check", inside, out, l.check_spring_pa_diff, check_gain, round_pa);
    released(name + "release", Switch::always, out, inside, area, other, {ratio, l.check_spring_pa_diff, full_pa});
  };
  port("valve.a_", l.check_a_ratio, pa, a, pb, l.check_a_ratio > 0 ? v.lowering_area_m2 : v.path_area_m2);
  port("valve.b_", l.check_b_ratio, pb, b, pa, l.check_b_ratio > 0 && v.lifting_area_m2 > 0 ? v.lifting_area_m2 : v.path_area_m2);
  return {onward("valve_block.a", a), onward("valve_block.b", b)};
}

Builder::Block Builder::block() {
  const ValveBlock& v = n.rig.valve_block;
  n.pump = pump_law(n.rig.pump, n.mu_pa_s);
  n.relief = {.crack_pa_diff = v.relief_pa_gauge, .gain = v.relief_gain_m3_per_s_pa};
  return v.circuit == CircuitKind::open ? open_circuit() : closed_circuit();
}

}  // namespace evenstroke
