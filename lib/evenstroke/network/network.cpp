#include "evenstroke/network/network.hpp"

#include <algorithm>
#include <numeric>
#include <utility>

#include "evenstroke/base/error.hpp"

namespace evenstroke {
namespace {

constexpr int no_place = -4;   // neither a place nor one of those outside

/// Adds parts one by one; what it returns is the slot, so that edges can name what they join.
struct Builder {
  Network n;
  Connections joints;

  bool parted(const std::string& joint) const {
    return std::find(joints.parted.begin(), joints.parted.end(), joint) != joints.parted.end();
  }
  /// The two line ends of a branch, hose to hose. Where their bores differ, turbulent friction of both is taken as that of
  /// the narrower one.
  void hoses(const std::string& branch) {
    if (joints.line_end != Opening::joined || !parted(branch + ".cap_port") || !parted(branch + ".rod_port")) return;
    const LineLaw<double> cap = n.lines[n.lines.size() - 2], rod = n.lines.back();
    n.lines.push_back({cap.resistance + rod.resistance, cap.minor + rod.minor, std::max(cap.re_per_flow, rod.re_per_flow)});
    join(branch + ".hoses", EdgeKind::line, Switch::always, n.place(branch + ".cap_line"), n.place(branch + ".rod_line"),
         n.lines.size() - 1);
    n.edges.back().from_share = cap.resistance / (cap.resistance + rod.resistance);
  }
  static int outside(Opening o) { return o == Opening::container ? container_place : air_place; }

  int add(Place p) {
    n.places.push_back(std::move(p));
    return static_cast<int>(n.places.size()) - 1;
  }
  int passage(const std::string& name, const std::string& part, double volume, int branch = -1) {
    return add({.name = name, .part = part, .kind = PlaceKind::passage, .volume_m3 = volume, .branch = branch,
                .trap_m3 = std::min(n.rig.valve_block.high_point_m3, volume)});
  }
  void join(const std::string& name, EdgeKind kind, Switch gate, int from, int to, std::size_t law) {
    n.edges.push_back({.name = name, .kind = kind, .gate = gate, .from = from, .to = to, .law = static_cast<int>(law)});
  }
  void orifice(const std::string& name, Switch gate, int from, int to, double area) {
    n.orifices.push_back(orifice_law(area, n.rig.valve_block.discharge, n.rho0_kg_per_m3, n.mu_pa_s / n.rho0_kg_per_m3,
                                      n.rig.valve_block.transition_re));
    join(name, EdgeKind::orifice, gate, from, to, n.orifices.size() - 1);
    n.edges.back().area_m2 = area;
  }
  void leak(const std::string& name, int from, int to, double conductance) {
    n.leaks.push_back({conductance});
    join(name, EdgeKind::leak, Switch::always, from, to, n.leaks.size() - 1);
  }
  /// A line is one volume between two halves of its resistance; its first end is the one at the valve block, its far end
  /// the joint with its port. Parted there, line and port each look into what the step says. `from` < 0: capped.
  void line(const std::string& name, const Line& l, int from, int to, int branch, const std::string& joint) {
    const Profile profile{.peak_m = l.peak_m, .peak_share = l.peak_share, .far_m = n.places[static_cast<std::size_t>(to)].height_m};
    const int p = add({.name = name, .part = name, .kind = PlaceKind::line, .volume_m3 = volume_m3(l),
                       .wall_m3_per_pa = volume_m3(l) * wall_compliance_per_pa(l), .branch = branch,
                       .bore_m = l.bore_m, .height_m = profile.height_m(0.5), .profile = profile});
    n.lines.push_back(line_law(l, 0.5, n.rho0_kg_per_m3, n.mu_pa_s / n.rho0_kg_per_m3));
    if (from >= 0) join(name + ".near", EdgeKind::line, Switch::always, from, p, n.lines.size() - 1);
    const std::size_t law = n.lines.size() - 1;
    if (!parted(joint)) {
      join(name + ".far", EdgeKind::line, Switch::always, p, to, law);
      return;
    }
    if (joints.line_end == Opening::air || joints.line_end == Opening::container)
      join(name + ".far", EdgeKind::line, Switch::always, p, outside(joints.line_end), law);
    if (joints.port != Opening::capped) orifice(joint, Switch::always, to, outside(joints.port), area_m2(l));
  }

  void oil() {
    const Oil& o = n.rig.oil;
    n.rho0_kg_per_m3 = density(o, o.temperature_k);
    n.mu_pa_s = kinematic_viscosity(o, o.temperature_k) * n.rho0_kg_per_m3;
    n.liquid = liquid_law(o, o.temperature_k);
    n.gas_j_per_kg = air_gas_constant * o.temperature_k;
  }

  /// Place from which the circuit goes on behind a port of the valve block; none where it is parted there.
  int onward(const std::string& port, int place) {
    if (!parted(port)) return place;
    if (joints.port != Opening::capped)
      orifice(port, Switch::always, place, outside(joints.port), n.rig.valve_block.path_area_m2);
    return no_place;
  }

  struct Block { int p, a, b; };
  Block block() {
    const ValveBlock& v = n.rig.valve_block;
    const Block s{passage("valve_block.p", "valve_block", v.passage_m3), passage("valve_block.a", "valve_block", v.passage_m3),
                  passage("valve_block.b", "valve_block", v.passage_m3)};
    n.pump = pump_law(n.rig.pump, n.mu_pa_s);
    n.relief = {.crack_pa_diff = v.relief_pa_gauge, .gain = v.relief_gain_m3_per_s_pa};
    join("pump", EdgeKind::pump, Switch::motor, reservoir_place, s.p, 0);
    join("relief", EdgeKind::relief, Switch::always, s.p, reservoir_place, 0);
    orifice("valve.p_to_a", Switch::extend, s.p, s.a, v.path_area_m2);
    const double lifting_m2 = v.lifting_area_m2 > 0 ? v.lifting_area_m2 : v.path_area_m2;
    orifice("valve.b_to_reservoir", Switch::extend, s.b, reservoir_place, lifting_m2);
    orifice("valve.p_to_b", Switch::retract, s.p, s.b, v.path_area_m2);
    if (v.counterbalance_pa_gauge > 0) {
      n.counterbalances.push_back({.crack_pa_diff = v.counterbalance_pa_gauge, .gain = v.counterbalance_gain_m3_per_s_pa,
                                   .pilot_ratio = v.pilot_ratio});
      join("valve.a_to_reservoir", EdgeKind::counterbalance, Switch::retract, s.a, reservoir_place, 0);
      n.edges.back().pilot = s.b;
    } else {
      orifice("valve.a_to_reservoir", Switch::retract, s.a, reservoir_place, v.lowering_area_m2);
    }
    return {s.p, onward("valve_block.a", s.a), onward("valve_block.b", s.b)};
  }

  void axis(const std::string& name, double travel, double viscous, double breakaway, double running_share, double growth,
            double fixed, int branch) {
    n.axes.push_back({.name = name, .travel_m = travel, .viscous_n_s_per_m = viscous, .breakaway_n = breakaway,
                      .running_n = breakaway * running_share, .dwell_growth = growth, .fixed_n = fixed, .branch = branch});
  }
  void hand(const std::string& branch) {
    for (int i = 0; i < n.branches(); ++i)
      if (n.rig.branches[static_cast<std::size_t>(i)].name == branch) {
        n.axes[static_cast<std::size_t>(i)].hand_n = joints.hand_n;
        n.axes[static_cast<std::size_t>(i)].hand_m_per_s = joints.hand_m_per_s;
        return;
      }
    throw InputError("by_hand", branch, "", "must name a branch of the rig");
  }

  /// Cylinder, both lines, piston leak; `source` is the place its cap line starts from.
  void branch(int i, int source, int b) {
    const Branch& br = n.rig.branches[static_cast<std::size_t>(i)];
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

  void metering(const Block& s) {
    const Synchroniser& y = n.rig.synchroniser;
    const int carriage = n.branches();
    double area = 0, travel = 0;   // a common travel; each metering area follows from its cylinder's stroke volume
    for (const Branch& b : n.rig.branches) travel = std::max(travel, b.cylinder.stroke_m * (1 + y.over_travel));
    const int drive = add({.name = "synchroniser.drive", .part = "synchroniser", .kind = PlaceKind::chamber,
                           .volume_m3 = y.clearance_m3, .axis = carriage});
    if (s.a >= 0) orifice("synchroniser.inlet", Switch::always, s.a, drive, n.rig.valve_block.path_area_m2);
    for (int i = 0; i < n.branches(); ++i) {
      const Branch& b = n.rig.branches[static_cast<std::size_t>(i)];
      const double am = cap_area_m2(b.cylinder) * b.cylinder.stroke_m * (1 + y.over_travel) / travel;
      area += am;
      const int meter = add({.name = b.name + ".metering_chamber", .part = "synchroniser", .kind = PlaceKind::chamber,
                             .volume_m3 = y.clearance_m3 + am * travel, .axis = carriage, .slope_m2 = -am, .branch = i});
      const int out = passage(b.name + ".outlet", "synchroniser", y.outlet_m3, i);
      orifice(b.name + ".metering_port", Switch::always, meter, out, n.rig.valve_block.path_area_m2);
      if (s.a >= 0) orifice(b.name + ".bypass", Switch::bypass, s.a, out, y.bypass_area_m2);
      leak(b.name + ".metering_leak", drive, meter, y.leak_m3_per_s_pa);
      branch(i, out, s.b);
    }
    n.places[static_cast<std::size_t>(drive)].slope_m2 = area;
    axis("synchroniser.carriage", travel, y.viscous_n_s_per_m, y.breakaway_pa_diff * area, y.running_share, 0, 0, -1);
  }

  void pattern() {   // an edge or axis depends on whatever bounds the places it touches, and on the clock
    const int m = static_cast<int>(n.edges.size()), clock = m + static_cast<int>(n.axes.size()), total = clock + 1;
    std::vector<std::vector<int>> touch(n.places.size());
    for (int e = 0; e < m; ++e)
      for (const int p : {n.edges[static_cast<std::size_t>(e)].from, n.edges[static_cast<std::size_t>(e)].to})
        if (p >= 0) touch[static_cast<std::size_t>(p)].push_back(e);
    for (std::size_t p = 0; p < n.places.size(); ++p)
      if (n.places[p].axis >= 0) touch[p].push_back(m + n.places[p].axis);
    std::vector<std::pair<int, int>> entries;
    for (const auto& t : touch)
      for (const int r : t)
        for (const int c : t) entries.emplace_back(r, c);
    for (const auto& t : touch)
      for (const int r : t) entries.emplace_back(r, clock);
    entries.emplace_back(clock, clock);
    for (int e = 0; e < m; ++e)
      if (const int p = n.edges[static_cast<std::size_t>(e)].pilot; p >= 0)
        for (const int c : touch[static_cast<std::size_t>(p)]) entries.emplace_back(e, c);
    for (int i = 0; i < n.branches(); ++i)
      for (int j = 0; j < n.branches(); ++j) entries.emplace_back(m + i, m + j);
    n.pattern = make_pattern(total, std::move(entries));
  }
};

}  // namespace

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
  const auto s = b.block();
  for (int i = 0; i < b.n.branches(); ++i) {
    const Branch& br = b.n.rig.branches[static_cast<std::size_t>(i)];
    const Cylinder& c = br.cylinder;
    b.axis(br.name + ".rod", c.stroke_m, c.viscous_n_s_per_m, breakaway_n(c), c.running_share,
           c.dwell_growth, p0_pa_abs * (cap_area_m2(c) - rod_area_m2(c)), i);
  }
  if (rig.synchroniser.kind == SynchroniserKind::metering_pistons)
    b.metering(s);
  else
    for (int i = 0; i < b.n.branches(); ++i) b.branch(i, s.a, s.b);
  for (const std::string& h : joints.by_hand) b.hand(h);
  b.pattern();
  return std::move(b.n);
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
