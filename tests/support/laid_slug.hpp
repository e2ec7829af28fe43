#pragma once
#include <string>

#include "evenstroke/transport/queue.hpp"
#include "support/bench.hpp"

namespace evenstroke::testing {

/// A line of `length_m` from the valve block to a cylinder `top_m` higher, oil of `nu_cst` and 860 kg/m3 at 40 deg C,
/// surface tension 0.030 N/m, slugs with all of their slip.
inline Rig slug_rig(double nu_cst, double bore_m, double length_m, double top_m, double flow_m3_per_s) {
  Rig r = bench_rig(1, SynchroniserKind::tee, flow_m3_per_s);
  r.oil.nu_40_m2_per_s = nu_cst * 1e-6;
  r.oil.nu_100_m2_per_s = 0.25 * nu_cst * 1e-6;
  r.oil.density_15_kg_per_m3 = 860 * (1 + r.oil.expansion_per_k * 25);
  Branch& b = r.branches[0];
  b.cylinder.height_m = top_m;
  b.cap_line.bore_m = bore_m;
  b.cap_line.length_m = b.rod_line.length_m = length_m;
  b.rod_line.bore_m = 10e-3;
  r.air.surface_tension_n_per_m = 0.030;
  r.air.saturation = 0;
  r.air.slug_slip = 1;
  return r;
}

/// A slug of `m3` (at the line's pressure) whose middle stands at `share` of the cap line of branch `a`.
inline void lay_slug(Bench& b, double share, double m3) {
  Contents c = b.c;
  const std::size_t p = b.index("a.cap_line");
  const double part = m3 / b.net.places[p].volume_m3;
  const Parcel oil = c.line[p].queue[0];
  Queue& q = c.line[p].queue;
  q.count = 3;
  q[0] = {(share - part / 2) * oil.oil_kg, 0, 0, false};
  q[1] = {0, m3 * c.pressure_pa_abs[p] / b.net.gas_j_per_kg, 0, true};
  q[2] = {(1 - share - part / 2) * oil.oil_kg, 0, 0, false};
  b.take(c);
}

/// Where its middle is, from the valve block.
inline double slug_m3(const Bench& b) {
  const std::size_t p = b.index("a.cap_line");
  const double pressure = b.c.pressure_pa_abs[p], gas = b.net.gas_j_per_kg / pressure;
  const double oil = relative_volume(b.net.liquid, pressure) / b.net.rho0_kg_per_m3;
  return slug_position_m3(b.c.line[p].queue, {oil, gas, gas, b.net.places[p].bore_m});
}

}  // namespace evenstroke::testing
