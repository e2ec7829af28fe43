// What stands between port A of the valve block and the cap lines: Builder::synchroniser.
#include <algorithm>
#include <limits>

#include "evenstroke/network/builder.hpp"

namespace evenstroke {

/// The passage behind what divides.
int Builder::outlet(int i) { return passage(own(i).name + ".outlet", "synchroniser", n.rig.synchroniser.outlet_m3, i); }

void Builder::bypass(int i, int inlet, int out) {
  if (inlet >= 0) orifice(own(i).name + ".bypass", Switch::bypass, inlet, out, n.rig.synchroniser.bypass_area_m2);
}

void Builder::metering(const Block& s) {
  const Synchroniser& y = n.rig.synchroniser;
  const int carriage = n.branches();
  double area = 0, travel = 0;   // a common travel; each metering area follows from its cylinder's stroke volume
  for (const Branch& b : n.rig.branches) travel = std::max(travel, b.cylinder.stroke_m * (1 + y.over_travel));
  const int drive = add({.name = "synchroniser.drive", .part = "synchroniser", .kind = PlaceKind::chamber,
                         .volume_m3 = y.clearance_m3, .axis = carriage});
  if (s.a >= 0) orifice("synchroniser.inlet", Switch::always, s.a, drive, n.rig.valve_block.path_area_m2);
  for (int i = 0; i < n.branches(); ++i) {
    const Branch& b = own(i);
    const double nominal = cap_area_m2(b.cylinder) * b.cylinder.stroke_m * (1 + y.over_travel) / travel;
    const double am = nominal * (1 + b.outlet.dividing_error);
    area += am;
    const int meter = add({.name = b.name + ".metering_chamber", .part = "synchroniser", .kind = PlaceKind::chamber,
                           .volume_m3 = y.clearance_m3 + am * travel, .axis = carriage, .slope_m2 = -am, .branch = i});
    const int out = outlet(i);
    orifice(b.name + ".metering_port", Switch::always, meter, out, n.rig.valve_block.path_area_m2);
    bypass(i, s.a, out);
    leak(b.name + ".metering_leak", drive, meter, y.leak_m3_per_s_pa);
    branch(i, out, s.b);
  }
  n.places[static_cast<std::size_t>(drive)].slope_m2 = area;
  const double breakaway_n = y.breakaway_pa_diff * area;
  axis({.name = "synchroniser.carriage", .travel_m = travel, .viscous_n_s_per_m = y.viscous_n_s_per_m, .breakaway_n = breakaway_n,
        .running_n = breakaway_n * y.running_share, .kind = AxisKind::carriage});
}

/// Position zero is the middle; towards plus the edge of the first branch opens, that of the second one shuts.
void Builder::spool(const Block& s) {
  const Synchroniser& y = n.rig.synchroniser;
  const SpoolDivider& d = n.rig.spool;
  const int middle = n.branches();
  const double fixed = fixed_area_m2(d, n.rig.valve_block.discharge, n.rho0_kg_per_m3), edge = d.edge_share * fixed;
  for (int i = 0; i < n.branches(); ++i) {
    const Branch& b = own(i);
    const double way = i == 0 ? 1 : -1;
    const int inner = passage(b.name + ".divider", "synchroniser", y.outlet_m3, i);
    n.places[static_cast<std::size_t>(inner)].axis = middle;
    n.places[static_cast<std::size_t>(inner)].slope_m2 = way * d.spool_area_m2;
    const int out = outlet(i);
    bypass(i, s.a, out);
    if (s.a >= 0) orifice(b.name + ".fixed_orifice", Switch::always, s.a, inner, fixed * (1 + b.outlet.dividing_error), d.transition_re);
    Edge& e = orifice(b.name + ".spool_edge", Switch::always, inner, out, edge, d.transition_re);
    e.axis = middle;
    e.opening = static_cast<int>(n.openings.size());
    n.openings.push_back({-way * d.spool_way_m, way / (2 * d.spool_way_m), d.least_opening});
    n.flow_forces.push_back({static_cast<int>(n.edges.size()) - 1, d.flow_force * edge});
    if (n.rig.synchroniser.kind == SynchroniserKind::spool_divider && s.a >= 0) {
      constexpr double crack_pa = 0.3e5, gain = 5e-10, round_pa = 1e4;   // common practice, no source
      spill(b.name + ".return_check", out, s.a, crack_pa, gain, round_pa);
    }
    branch(i, out, s.b);
  }
  n.reversing_spool = n.rig.synchroniser.kind == SynchroniserKind::divider_combiner;
  axis({.name = "synchroniser.spool", .travel_m = d.spool_way_m, .viscous_n_s_per_m = d.spool_viscous_n_s_per_m,
        .breakaway_n = d.spool_breakaway_n, .running_n = d.spool_breakaway_n * y.running_share, .kind = AxisKind::spool,
        .low_m = -d.spool_way_m, .spring_n_per_m = d.spring_n_per_m});
}

void Builder::rotary(const Block& s) {
  const RotaryDivider& r = n.rig.rotary;
  constexpr double round_pa = 1e4, crack_pa = 0.1e5;
  for (int i = 0; i < n.branches(); ++i) {
    const Branch& b = own(i);
    const double displacement = r.section_m3_per_rad * (1 + b.outlet.dividing_error);
    const int out = outlet(i);
    bypass(i, s.a, out);
    if (s.a >= 0) {
      n.sections.push_back({displacement, r.section_slip * displacement / n.mu_pa_s});
      join(b.name + ".section", EdgeKind::section, Switch::always, s.a, out, n.sections.size() - 1).axis = n.branches();
    }
    if (r.outlet_relief_pa_gauge > 0)
      spill(b.name + ".outlet_relief", out, reservoir_place, r.outlet_relief_pa_gauge, n.rig.valve_block.relief_gain_m3_per_s_pa, 1e5);
    if (r.makeup_m3_per_s_pa > 0) spill(b.name + ".makeup", reservoir_place, out, crack_pa, r.makeup_m3_per_s_pa, round_pa);
    branch(i, out, s.b);
  }
  constexpr double endless = std::numeric_limits<double>::infinity();
  axis({.name = "synchroniser.shaft", .travel_m = endless, .viscous_n_s_per_m = r.shaft_drag_n_m_s,
        .breakaway_n = r.shaft_torque_n_m * r.shaft_breakaway, .running_n = r.shaft_torque_n_m, .kind = AxisKind::shaft,
        .low_m = -endless});
}

/// Cap line of the first cylinder from A; its rod line into the link, from which the cap line of the next starts; and so on to B.
void Builder::series(const Block& s) {
  const SeriesPair& p = n.rig.series;
  int source = s.a;
  for (int i = 0; i < n.branches(); ++i) {
    const Branch& b = own(i);
    const bool last = i + 1 == n.branches();
    const int onward = last ? s.b : passage(b.name + ".link", "synchroniser", n.rig.synchroniser.outlet_m3, i);
    branch(i, source, onward);
    source = onward;
    if (p.rephasing_area_m2 <= 0) continue;
    const double stroke = b.cylinder.stroke_m, per = 1 / p.rephasing_way_m;
    const int cap = n.place(b.name + ".cap_chamber"), rod = n.place(b.name + ".rod_chamber");
    for (const bool out : {true, false}) {
      Edge& e = orifice(b.name + (out ? ".rephasing_out" : ".rephasing_in"), Switch::always, cap, rod, p.rephasing_area_m2);
      e.axis = i;
      e.opening = static_cast<int>(n.openings.size());
      n.openings.push_back(out ? OpeningLaw<double>{stroke - p.rephasing_way_m, per, 0}
                               : OpeningLaw<double>{p.rephasing_way_m, -per, 0});
    }
  }
}

void Builder::synchroniser(const Block& s) {
  switch (n.rig.synchroniser.kind) {
    case SynchroniserKind::metering_pistons: return metering(s);
    case SynchroniserKind::spool_divider:
    case SynchroniserKind::divider_combiner: return spool(s);
    case SynchroniserKind::rotary_divider: return rotary(s);
    case SynchroniserKind::series_pair: return series(s);
    case SynchroniserKind::tee: break;
  }
  for (int i = 0; i < n.branches(); ++i) branch(i, s.a, s.b);
}

}  // namespace evenstroke
