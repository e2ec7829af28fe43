#include "evenstroke/transport/tank.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "evenstroke/air/bubble.hpp"
#include "evenstroke/air/sedimentation.hpp"
#include "evenstroke/air/solution.hpp"
#include "evenstroke/base/constants.hpp"

namespace evenstroke {
namespace {

double gone(double times) { return -std::expm1(-times); }   // 1 - exp(-t/tau)
double oil_m3(double oil_kg, const Vessel& v) { return oil_kg / v.rho0_kg_per_m3; }
double gas_m3_per_kg(const Vessel& v) { return v.gas_j_per_kg / p0_pa_abs; }

/// Oil and bubbles at p0.
double volume_m3(const Tank& t, const Vessel& v) {
  return oil_m3(t.oil_kg, v) + (t.coarse_kg + t.fine_kg) * gas_m3_per_kg(v);
}

struct Drawn {
  Bundle mixture;
  double air_kg = 0;   ///< from above the surface
};

Drawn drawn(const Tank& t, const Vessel& v, double volume, double duration_s) {
  Drawn d;
  if (volume <= 0) return d;
  const double holds = volume_m3(t, v), funnel = pull_through_m(v.pull_through, volume / duration_s);
  const double above = std::clamp((level_m(t, v) - funnel - v.shape.intake_m) * v.shape.area_m2, 0.0, volume);
  if (above > 0) {
    const double share = std::min(1.0, above / holds);
    d.mixture = {share * t.oil_kg, 0, share * t.coarse_kg, share * t.fine_kg, share * t.dissolved_kg};
  }
  d.air_kg = (volume - above) / gas_m3_per_kg(v);
  return d;
}

Bundle bundle(const Drawn& d) {
  Bundle b = d.mixture;
  b.coarse_kg += d.air_kg;
  return b;
}

void run_over(Tank& t, const Vessel& v, Ledger& l) {
  const double holds = volume_m3(t, v);
  if (holds <= v.shape.capacity_m3) return;
  const double share = 1 - v.shape.capacity_m3 / holds;
  for (double* kg : {&t.coarse_kg, &t.fine_kg, &t.dissolved_kg}) {
    const double part = share * *kg;
    *kg -= part;
    l.air_vented_kg += part;
  }
  const double oil = share * t.oil_kg;
  t.oil_kg -= oil;
  l.oil_spilled_kg += oil;
}

}  // namespace

Vessel vessel(const Network& n) {
  const AirInputs& air = n.rig.air;
  const auto rise = [&](double d0_m) {
    return bubble_rise_m_per_s(bubble_diameter_m(d0_m, p0_pa_abs), n.mu_pa_s, n.rho0_kg_per_m3);
  };
  return {.shape = n.rig.reservoir,
          .rho0_kg_per_m3 = n.rho0_kg_per_m3,
          .gas_j_per_kg = n.gas_j_per_kg,
          .equilibrium_kg_per_m3 = dissolved_at_kg_per_m3(air.bunsen, p0_pa_abs),
          .rise_coarse_m_per_s = rise(air.coarse_m),
          .rise_fine_m_per_s = rise(air.fine_m),
          .solution_s = air.release_s,
          .plunge_onset_m_per_s = n.rig.reservoir.plunge_onset_m_per_s,
          .plunge_share = n.rig.reservoir.plunge_share,
          .pull_through = air.pull_through};
}

double level_m(const Tank& t, const Vessel& v) { return volume_m3(t, v) / v.shape.area_m2; }

void receive(Tank& t, const Vessel& v, const Bundle& b, double duration_s, Ledger& l) {
  const double oil = oil_m3(b.oil_kg, v), volume = oil + b.bubbles_kg() * gas_m3_per_kg(v);
  const double flow = duration_s > 0 ? volume / duration_s : 0.0;
  const double removed_coarse_kg = b.coarse_kg * flow_through_removal(v.rise_coarse_m_per_s, v.shape.area_m2, flow);
  const double removed_fine_kg = b.fine_kg * flow_through_removal(v.rise_fine_m_per_s, v.shape.area_m2, flow);
  const double drop_m = v.shape.return_m - level_m(t, v);
  t.oil_kg += b.oil_kg;
  t.dissolved_kg += b.dissolved_kg;
  t.coarse_kg += b.coarse_kg - removed_coarse_kg;
  t.fine_kg += b.fine_kg - removed_fine_kg;
  t.foam_kg += b.pocket_kg + removed_coarse_kg + removed_fine_kg;
  if (drop_m > 0 && oil > 0) {                     // the jet has what the pipe gives it and what it gains by falling
    const double bore = v.shape.return_bore_m, pipe = flow / (std::numbers::pi / 4 * bore * bore);
    const double jet = std::sqrt(pipe * pipe + 2 * gravity_m_per_s2 * drop_m);
    const double carried_kg = plunge_entrainment(jet, v.plunge_onset_m_per_s, v.plunge_share) * oil / gas_m3_per_kg(v);
    t.coarse_kg += carried_kg;
    l.air_ingested_kg += carried_kg;
  }
  run_over(t, v, l);
}

Bundle peek(const Tank& t, const Vessel& v, double volume_m3, double duration_s) {
  return bundle(drawn(t, v, volume_m3, duration_s));
}

Bundle draw(Tank& t, const Vessel& v, double volume_m3, double duration_s, Ledger& l, const Tank* at_first) {
  Drawn d = drawn(at_first ? *at_first : t, v, volume_m3, duration_s);
  const Bundle& b = d.mixture;
  if (b.oil_kg > t.oil_kg || b.coarse_kg > t.coarse_kg || b.fine_kg > t.fine_kg || b.dissolved_kg > t.dissolved_kg)
    d = drawn(t, v, volume_m3, duration_s);
  t.oil_kg -= d.mixture.oil_kg;
  t.coarse_kg -= d.mixture.coarse_kg;
  t.fine_kg -= d.mixture.fine_kg;
  t.dissolved_kg -= d.mixture.dissolved_kg;
  const double foam = std::min(t.foam_kg, d.air_kg);
  t.foam_kg -= foam;
  l.air_ingested_kg += d.air_kg - foam;
  return bundle(d);
}

void rest(Tank& t, const Vessel& v, double duration_s, bool stirred, Ledger& l) {
  if (stirred || t.still_s <= 0) {
    t.still_s = 0;
    t.still_coarse_kg = t.coarse_kg;
    t.still_fine_kg = t.fine_kg;
  }
  if (!stirred) {
    t.still_s += duration_s;
    const double depth = level_m(t, v);
    const auto settle = [&](double& kg, double at_first_kg, double rise) {
      const double stays = depth > 0 ? std::min(kg, at_first_kg * still_share(rise, depth, t.still_s)) : 0.0;
      t.foam_kg += kg - stays;
      kg = stays;
    };
    settle(t.coarse_kg, t.still_coarse_kg, v.rise_coarse_m_per_s);
    settle(t.fine_kg, t.still_fine_kg, v.rise_fine_m_per_s);
  }
  const double burst_kg = v.shape.foam_s > 0 ? t.foam_kg * gone(duration_s / v.shape.foam_s) : t.foam_kg;
  t.foam_kg -= burst_kg;
  l.air_vented_kg += burst_kg;
  const double excess_kg = t.dissolved_kg - v.equilibrium_kg_per_m3 * oil_m3(t.oil_kg, v);
  if (excess_kg <= 0 || v.solution_s >= never_released_s) return;
  const double freed_kg = excess_kg * gone(duration_s / v.solution_s);
  t.dissolved_kg -= freed_kg;
  l.air_vented_kg += freed_kg;
}

}  // namespace evenstroke
