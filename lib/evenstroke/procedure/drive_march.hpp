#pragma once
#include "evenstroke/procedure/pressure_watch.hpp"
#include "evenstroke/transport/march.hpp"

namespace evenstroke {

/// One phase with an eye on the pressures (null: none); `after(contents, quantum)` as in March::phase.
template <class After>
Outcome drive(March& march, Contents& c, const Drive& d, double time_s, PressureWatch* pressure, After&& after) {
  bool begun = false;
  const auto watch = [&](double h, const auto&) {
    if (!pressure) return false;
    if (!begun) pressure->closed(c.pressure_pa_abs);
    begun = true;
    const FlowModel<double>& model = march.engine().model();
    pressure->step(h, [&](std::size_t p) { return model.pressure(static_cast<int>(p)); });
    return false;
  };
  return march.phase(c, d, time_s, watch, [&](const Contents& now, const FlowEngine::Quantum& q) {
    begun = false;
    return after(now, q);
  });
}

}  // namespace evenstroke
