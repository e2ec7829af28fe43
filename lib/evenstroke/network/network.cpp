#include "evenstroke/network/network.hpp"

#include <algorithm>
#include <numeric>
#include <utility>

#include "evenstroke/base/error.hpp"
#include "evenstroke/network/builder.hpp"

namespace evenstroke {

int outside(Opening o) { return o == Opening::container ? container_place : air_place; }

bool Builder::parted(const std::string& joint) const {
  return std::find(joints.parted.begin(), joints.parted.end(), joint) != joints.parted.end();
}

/// The two line ends of a branch, hose to hose. Where their bores differ, turbulent friction of both is taken as that of
/// the narrower one.
void Builder::hoses(const std::string& branch) {
  if (joints.line_end != Opening::joined || !parted(branch + ".cap_port") || !parted(branch + ".rod_port")) return;
  const LineLaw<double> cap = n.lines[n.lines.size() - 2], rod = n.lines.back();
  n.lines.push_back({cap.resistance + rod.resistance, cap.minor + rod.minor, std::max(cap.re_per_flow, rod.re_per_flow)});
  Edge& e = join(branch + ".hoses", EdgeKind::line, Switch::always, n.place(branch + ".cap_line"), n.place(branch + ".rod_line"),
                 n.lines.size() - 1);
  e.from_share = cap.resistance / (cap.resistance + rod.resistance);
  for (const Edge& half : n.edges)   // of both lines, the halves next to the joint: as heavy as those at the valve block
    if (half.name == branch + ".cap_line.near" || half.name == branch + ".rod_line.near") e.inertia_kg_per_m4 += half.inertia_kg_per_m4;
}

int Builder::add(Place p) {
  n.places.push_back(std::move(p));
  return static_cast<int>(n.places.size()) - 1;
}
int Builder::passage(const std::string& name, const std::string& part, double volume, int branch) {
  return add({.name = name, .part = part, .kind = PlaceKind::passage, .volume_m3 = volume, .branch = branch,
              .trap_m3 = std::min(n.rig.valve_block.high_point_m3, volume)});
}
Edge& Builder::join(const std::string& name, EdgeKind kind, Switch gate, int from, int to, std::size_t law) {
  n.edges.push_back({.name = name, .kind = kind, .gate = gate, .from = from, .to = to, .law = static_cast<int>(law)});
  return n.edges.back();
}
Edge& Builder::orifice(const std::string& name, Switch gate, int from, int to, double area, double transition_re) {
  n.orifices.push_back(orifice_law(area, n.rig.valve_block.discharge, n.rho0_kg_per_m3, n.mu_pa_s / n.rho0_kg_per_m3,
                                    transition_re > 0 ? transition_re : n.rig.valve_block.transition_re));
  Edge& e = join(name, EdgeKind::orifice, gate, from, to, n.orifices.size() - 1);
  e.area_m2 = area;
  return e;
}
void Builder::leak(const std::string& name, int from, int to, double conductance) {
  n.leaks.push_back({conductance});
  join(name, EdgeKind::leak, Switch::always, from, to, n.leaks.size() - 1);
}
void Builder::spill(const std::string& name, int from, int to, double crack, double gain, double round) {
  n.spills.push_back({.crack_pa_diff = crack, .gain = gain, .round_pa_diff = round});
  join(name, EdgeKind::spill, Switch::always, from, to, n.spills.size() - 1);
}
void Builder::released(const std::string& name, Switch gate, int from, int to, double area, int pilot, const PilotLaw<double>& law) {
  Edge& e = orifice(name, gate, from, to, area);
  e.kind = EdgeKind::released;
  e.pilot = pilot;
  e.release = static_cast<int>(n.releases.size());
  n.releases.push_back(law);
}
void Builder::axis(Axis a) { n.axes.push_back(std::move(a)); }

/// A line is one volume between two halves of its resistance; its first end is the one at the valve block, its far end
/// the joint with its port. Parted there, line and port each look into what the step says. `from` < 0: capped.
void Builder::line(const std::string& name, const Line& l, int from, int to, int branch, const std::string& joint) {
  const Profile profile{.peak_m = l.peak_m, .peak_share = l.peak_share, .far_m = n.places[static_cast<std::size_t>(to)].height_m};
  const int p = add({.name = name, .part = name, .kind = PlaceKind::line, .volume_m3 = volume_m3(l),
                     .wall_m3_per_pa = volume_m3(l) * wall_compliance_per_pa(l), .branch = branch,
                     .bore_m = l.bore_m, .height_m = profile.height_m(0.5), .profile = profile});
  n.lines.push_back(line_law(l, 0.5, n.rho0_kg_per_m3, n.mu_pa_s / n.rho0_kg_per_m3));
  const double inertia = 0.5 * n.rho0_kg_per_m3 * l.length_m / area_m2(l);
  if (from >= 0) join(name + ".near", EdgeKind::line, Switch::always, from, p, n.lines.size() - 1).inertia_kg_per_m4 = inertia;
  const std::size_t law = n.lines.size() - 1;
  if (!parted(joint)) {
    join(name + ".far", EdgeKind::line, Switch::always, p, to, law).inertia_kg_per_m4 = inertia;
    return;
  }
  if (joints.line_end == Opening::air || joints.line_end == Opening::container)
    join(name + ".far", EdgeKind::line, Switch::always, p, outside(joints.line_end), law).inertia_kg_per_m4 = inertia;
  if (joints.port != Opening::capped) orifice(joint, Switch::always, to, outside(joints.port), area_m2(l));
}

void Builder::oil() {
  const Oil& o = n.rig.oil;
  n.rho0_kg_per_m3 = density(o, o.temperature_k);
  n.mu_pa_s = kinematic_viscosity(o, o.temperature_k) * n.rho0_kg_per_m3;
  n.liquid = liquid_law(o, o.temperature_k);
  n.gas_j_per_kg = air_gas_constant * o.temperature_k;
}

void Builder::rods() {
  for (int i = 0; i < n.branches(); ++i) {
    const Branch& br = own(i);
    const Cylinder& c = br.cylinder;
    const double breakaway = breakaway_n(c);
    axis({.name = br.name + ".rod", .travel_m = c.stroke_m, .viscous_n_s_per_m = c.viscous_n_s_per_m, .breakaway_n = breakaway,
          .running_n = breakaway * c.running_share, .dwell_growth = c.dwell_growth,
          .fixed_n = p0_pa_abs * (cap_area_m2(c) - rod_area_m2(c)), .branch = i});
  }
  for (const std::string& name : joints.by_hand) {
    const auto named = [&](const Axis& a) { return a.name == name + ".rod"; };
    const auto rod = std::find_if(n.axes.begin(), n.axes.end(), named);
    if (rod == n.axes.end()) throw InputError("by_hand", name, "", "must name a branch of the rig");
    rod->hand_n = joints.hand_n;
    rod->hand_m_per_s = joints.hand_m_per_s;
  }
}

/// Cylinder, both lines, piston leak; `source` is the place its cap line starts from.
void Builder::branch(int i, int source, int b) {
  const Branch& br = own(i);
  const Cylinder& c = br.cylinder;
  const double ac = cap_area_m2(c), ar = rod_area_m2(c);
  const std::string part = br.name + ".cylinder";
  const int cap = add({.name = br.name + ".cap_chamber", .part = part, .kind = PlaceKind::chamber,
                       .volume_m3 = c.cap_clearance_m3, .axis = i, .slope_m2 = ac, .branch = i, .height_m = c.height_m});
  const int rod = add({.name = br.name + ".rod_chamber", .part = part, .kind = PlaceKind::chamber,
                       .volume_m3 = c.rod_clearance_m3 + ar * c.stroke_m, .axis = i, .slope_m2 = -ar, .branch = i,
                       .height_m = rod_port_height_m(c)});
  line(br.name + ".cap_line", br.cap_line, source, cap, i, br.name + ".cap_port");
  line(br.name + ".rod_line", br.rod_line, b, rod, i, br.name + ".rod_port");
  hoses(br.name);
  if (c.seal_m3_per_s_pa > 0) {
    n.seals.push_back({.crack_pa_diff = c.seal_crack_pa_diff, .gain = c.seal_m3_per_s_pa, .round_pa_diff = 0.2 * c.seal_crack_pa_diff});
    join(br.name + ".rod_seal", EdgeKind::seal, Switch::always, air_place, rod, n.seals.size() - 1);
  }
  leak(br.name + ".piston_leak", cap, rod, c.leak_m3_per_s_pa);
}

void Builder::bleed_screws() {
  for (const std::string& name : joints.bled)
    orifice(name + ".bleed", Switch::always, n.place(name), container_place, n.rig.valve_block.bleed_area_m2).top = true;
}

int Network::place(const std::string& name) const {
  for (std::size_t i = 0; i < places.size(); ++i)
    if (places[i].name == name) return static_cast<int>(i);
  throw InputError("place", name, "", "must be one of the rig's places");
}

Network make_network(const Rig& rig, const std::vector<int>& order, const Connections& joints) {
  Builder b;
  b.joints = joints;
  b.n.rig = rig;
  b.n.given = order;
  const std::vector<double> load = static_load_n(rig.panel, static_cast<int>(rig.branches.size()));
  for (std::size_t i = 0; i < order.size(); ++i) {
    b.n.rig.branches[i] = rig.branches[static_cast<std::size_t>(order[i])];
    if (joints.attitude >= 0) b.n.rig.branches[i].cylinder.attitude = static_cast<Attitude>(joints.attitude);
    b.n.panel.push_back(panel_law(rig.panel, load[static_cast<std::size_t>(order[i])]));
  }
  b.n.coupling_n_per_m = coupling_n_per_m(rig.panel);
  b.oil();
  const Builder::Block block = b.block();
  b.rods();
  b.synchroniser(block);
  b.bleed_screws();
  b.pattern();
  return std::move(b.n);
}

std::vector<std::string> bleed_points(const Rig& rig) {
  std::vector<std::string> names;
  for (const Place& p : make_network(rig).places)
    if (p.kind != PlaceKind::line) names.push_back(p.name);
  return names;
}

Network make_network(const Rig& rig) {
  std::vector<int> order(rig.branches.size());
  std::iota(order.begin(), order.end(), 0);
  return make_network(rig, order);
}

PumpLaw<double> pump_at(const Network& n, double supply_v) {
  if (supply_v <= 0) return n.pump;
  PumpMotor pump = n.rig.pump;
  pump.supply_v = supply_v;
  return pump_law(pump, n.mu_pa_s);
}

}  // namespace evenstroke
