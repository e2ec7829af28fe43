#include "evenstroke/procedure/doubts.hpp"

#include <algorithm>

#include "evenstroke/base/quantity.hpp"
#include "evenstroke/components/cylinder.hpp"

namespace evenstroke {

std::vector<std::string> doubts(const Rig& rig, const Contents& start, const Procedure& procedure) {
  std::vector<std::string> told;
  const SynchroniserKind kind = rig.synchroniser.kind;
  double rods_m3 = 0, narrowest_m = rig.branches.front().cylinder.bore_m, widest_m = narrowest_m;
  for (std::size_t b = 0; b < rig.branches.size(); ++b) {
    const Cylinder& c = rig.branches[b].cylinder;
    const auto axis = std::find(start.axis.begin(), start.axis.end(), rig.branches[b].name + ".rod") - start.axis.begin();
    rods_m3 += (cap_area_m2(c) - rod_area_m2(c)) * (c.stroke_m - start.position_m[static_cast<std::size_t>(axis)]);
    narrowest_m = std::min(narrowest_m, c.bore_m);
    widest_m = std::max(widest_m, c.bore_m);
  }
  const Reservoir& r = rig.reservoir;
  const double lowest_m = level_m(r, start.reservoir.oil_kg / density(rig.oil, rig.oil.temperature_k + start.warmed_k) - rods_m3);
  if (lowest_m <= r.intake_m)
    told.push_back("the rods take " + short_text(1e6 * rods_m3) + " mL more with all of them out, and the reservoir's level would fall to " +
                   short_text(1e3 * lowest_m) + " mm; the intake lies at " + short_text(1e3 * r.intake_m) +
                   " mm: the pump would draw air. Is the reservoir as the rig says (oil_l, area_cm2, capacity_l in [reservoir])?");
  constexpr double too_much_v = 18;                        // a 12 V motor on a weak supply is meant so
  const PumpMotor usual;
  const bool constants = rig.pump.motor_constant_v_s == usual.motor_constant_v_s && rig.pump.armature_ohm == usual.armature_ohm;
  double volts = rig.pump.supply_v;
  for (const Step& s : procedure.steps) volts = std::max({volts, s.extend_v, s.retract_v});
  if (constants && volts > too_much_v)
    told.push_back("the pump's motor runs at " + short_text(volts) + " V with the constants of a 12 V motor; one for that "
                   "voltage has others (motor_constant_v_s, armature_ohm in [pump])");
  if (kind == SynchroniserKind::metering_pistons && widest_m > 1.001 * narrowest_m)
    told.push_back("bores of " + short_text(1e3 * narrowest_m) + " and " + short_text(1e3 * widest_m) + " mm: each metering chamber is "
                   "taken to match the cylinder it feeds; a cylinder of the wrong bore would never keep step, and this run does "
                   "not show it");
  const bool divides = kind != SynchroniserKind::tee && kind != SynchroniserKind::series_pair;
  const bool errs = std::any_of(rig.branches.begin(), rig.branches.end(), [](const Branch& b) { return b.outlet.dividing_error != 0; });
  if (errs && !divides)
    told.push_back(std::string(kind == SynchroniserKind::tee ? "a tee" : "a series pair") + " divides nothing: dividing_error is not used");
  const bool apart = std::any_of(procedure.steps.begin(), procedure.steps.end(), [](const Step& s) {
    return s.kind == StepKind::stroke && s.bypass_open && s.rods == Rods::panel;
  });
  if (apart && rig.branches.size() > 1)
    told.push_back("strokes with the bypass open under the panel: nothing but the panel itself keeps the rods in step then, bled or "
                   "not; take it off, or shut the bypass");
  return told;
}

}  // namespace evenstroke
