#pragma once
#include "evenstroke/procedure/pressure_watch.hpp"
#include "evenstroke/procedure/procedure.hpp"
#include "evenstroke/transport/march.hpp"

namespace evenstroke {

/// One phase with an eye on the pressures (null: none); `look(h, x)` after each flow step and `after(contents, quantum)`, as in
/// March::phase.
template <class After, class Look>
Outcome drive(March& march, Contents& c, const Drive& d, double time_s, PressureWatch* pressure, After&& after, Look&& look) {
  bool begun = false;
  const auto watch = [&](double h, const auto& position) {
    const bool enough = look(h, position);
    if (!pressure) return enough;
    if (!begun) pressure->closed(c.pressure_pa_abs);
    begun = true;
    const FlowModel<double>& model = march.engine().model();
    pressure->step(h, [&](std::size_t p) { return model.pressure(static_cast<int>(p)); });
    return enough;
  };
  return march.phase(c, d, time_s, watch, [&](const Contents& now, const FlowEngine::Quantum& q) {
    begun = false;
    return after(now, q);
  });
}
template <class After>
Outcome drive(March& march, Contents& c, const Drive& d, double time_s, PressureWatch* pressure, After&& after) {
  return drive(march, c, d, time_s, pressure, after, [](double, const auto&) { return false; });
}

Drive powered(const Step&, bool extend);                      ///< motor on
Drive resting(Drive);                                         ///< motor off, the valve stays where it is
bool at_stops(const Network&, const Contents&, bool upper);   ///< all rods are, and stay
double mean_travel(const Network&, const Contents&);          ///< how far out the rods are, 0 ... 1
double stroke_limit_s(const Network&, double supply_v = 0);   ///< longer a stroke is not waited for
std::vector<double> as_given(const Network&, const std::vector<double>& of_branch);   ///< in the order of the rig

/// Brings the rods to their lower stops, with the bypass as in the step, so that the carriage comes home; then with the bypass
/// open for what is left over. `go(drive, time)` runs a phase; false: it ends there.
template <class Go>
void bring_home(const Network& net, const Contents& c, Step step, Go&& go) {
  for (const bool open : {step.bypass_open, true}) {
    if (at_stops(net, c, false)) return;
    step.bypass_open = open;
    if (open) step.cracked_rad = 0;
    const Drive in = powered(step, false);
    if (!go(in, stroke_limit_s(net)) || (step.dwell_s > 0 && !go(resting(in), step.dwell_s))) return;
  }
}

}  // namespace evenstroke
