#include "evenstroke/procedure/drive_march.hpp"

#include "evenstroke/components/cylinder.hpp"

namespace evenstroke {

Drive powered(const Step& step, bool extend) {
  return {.motor = true, .extend = extend, .retract = !extend, .bypass_open = step.bypass_open, .bypass_rad = step.cracked_rad,
          .supply_v = extend ? step.extend_v : step.retract_v, .on_panel = step.rods == Rods::panel, .held_n = step.rods == Rods::held ? step.held_n : 0.0};
}

Drive resting(Drive d) {
  d.motor = false;
  return d;
}

bool at_stops(const Network& net, const Contents& c, bool upper) {
  for (std::size_t i = 0; i < static_cast<std::size_t>(net.branches()); ++i)
    if (c.motion[i] != 0 || c.position_m[i] != (upper ? net.axes[i].travel_m : 0.0)) return false;
  return true;
}

double mean_travel(const Network& net, const Contents& c) {
  double sum = 0;
  for (std::size_t i = 0; i < static_cast<std::size_t>(net.branches()); ++i) sum += c.position_m[i] / net.axes[i].travel_m;
  return sum / net.branches();
}

std::vector<double> as_given(const Network& net, const std::vector<double>& x) {
  std::vector<double> given(x.size());
  for (std::size_t i = 0; i < x.size(); ++i) given[static_cast<std::size_t>(net.given[i])] = x[i];
  return given;
}

double stroke_limit_s(const Network& net, double supply_v) {   // five strokes' worth of oil at half the pump's free flow, and a minute
  double swept = 0;
  for (const Branch& b : net.rig.branches) swept += cap_area_m2(b.cylinder) * b.cylinder.stroke_m;
  return 60 + 10 * swept / pump_at(net, supply_v).q0;
}

}  // namespace evenstroke
