#include <random>
#include <sstream>
#include <stdexcept>

#include "segments.hpp"

namespace evenstroke::benchmark {
namespace {

std::size_t at(int i) { return static_cast<std::size_t>(i); }

template <class List, class Of>
void array(std::ostream& out, const char* name, const List& list, Of of) {
  out << ", \"" << name << "\": [";
  const char* comma = "";
  for (const auto& x : list) out << comma << of(x), comma = ", ";
  out << "]";
}

/// A law's numbers, in the order in which solvers in Python read them.
std::string law_json(const Network& n, const Edge& e, const PumpLaw<double>& pump) {
  std::vector<double> v;
  const auto l = at(e.law);
  const auto spill = [&](const ReliefLaw<double>& r) { v = {r.crack_pa_diff, r.gain, r.round_pa_diff}; };
  switch (e.kind) {
    case EdgeKind::pump: v = {pump.q0, pump.q_slope, pump.q_round, pump.q_slip}; break;
    case EdgeKind::relief: spill(n.relief); break;
    case EdgeKind::seal: spill(n.seals[l]); break;
    case EdgeKind::orifice: v = {n.orifices[l].laminar, n.orifices[l].turbulent}; break;
    case EdgeKind::line: v = {n.lines[l].resistance, n.lines[l].minor, n.lines[l].re_per_flow}; break;
    case EdgeKind::leak: v = {n.leaks[l].conductance_m3_per_s_pa}; break;
    case EdgeKind::counterbalance:
    case EdgeKind::spill:
    case EdgeKind::section:
    case EdgeKind::released: throw std::runtime_error(e.name + ": its law is not in the Python equations");
  }
  v.resize(4, 0.0);
  std::ostringstream out;
  out.precision(17);
  out << "[" << v[0] << ", " << v[1] << ", " << v[2] << ", " << v[3] << "]";
  return out.str();
}

void write_samples(std::ostream& out, Segment& s) {
  std::mt19937_64 dice(1);                // a fixed stream: the same states in every run
  std::uniform_real_distribution<double> side(-1, 1);
  const Pattern& pattern = s.model->pattern();
  std::vector<double> y(s.size()), f(s.size()), slot(at(pattern.slots())), states, rates, jacobians;
  for (std::size_t k = 0; k < s.time_s.size(); ++k) {
    for (std::size_t i = 0; i < s.size(); ++i) y[i] = s.reference[k * s.size() + i] + 30 * side(dice) * s.abs_tol[i];
    s.model->rhs(y.data(), f.data());
    s.model->jacobian(y.data(), slot.data());
    states.insert(states.end(), y.begin(), y.end());
    rates.insert(rates.end(), f.begin(), f.end());
    for (int row = 0; row < pattern.n; ++row)
      for (int col = 0; col < pattern.n; ++col) {
        const int found = pattern.slot(row, col);
        jacobians.push_back(found < 0 ? 0.0 : slot[at(found)]);
      }
  }
  const auto same = [](double x) { return x; };
  array(out, "sample_y", states, same);
  array(out, "sample_rhs", rates, same);
  array(out, "sample_jacobian", jacobians, same);
}

}  // namespace

void write_json(std::ostream& out, std::vector<Segment>& segments) {
  out.precision(17);
  const auto same = [](auto x) { return x; };
  out << "[";
  const char* comma = "";
  for (Segment& s : segments) {
    const Network& n = *s.net;
    const PumpLaw<double> pump = pump_at(n, s.drive.supply_v);
    std::vector<int> edges;
    for (int e = 0; e < s.model->edges(); ++e) edges.push_back(e);
    const auto edge = [&](auto of) { return [&s, &n, of](int e) { return of(n.edges[at(e)], s.model->edge_state(e)); }; };
    out << comma << "{\"name\": \"" << s.name << "\", \"on_panel\": " << s.drive.on_panel
        << ", \"coupling\": " << n.coupling_n_per_m << ", \"branches\": " << n.branches()
        << ", \"p_floor\": " << n.rig.air.cavity_pa_abs << ", \"k0\": " << n.liquid.k0_pa
        << ", \"k_slope\": " << n.liquid.slope << ", \"base_rel_tol\": " << s.base_rel_tol;
    comma = ", ";
    array(out, "oil", s.closure, [](const auto& c) { return c.oil_m3; });
    array(out, "gas", s.closure, [](const auto& c) { return c.gas_j; });
    array(out, "wall", s.closure, [](const auto& c) { return c.wall_m3_per_pa; });
    array(out, "volume", s.volume_m3, same);
    array(out, "place_axis", n.places, [](const Place& p) { return p.axis; });
    array(out, "place_slope", n.places, [](const Place& p) { return p.slope_m2; });
    array(out, "kind", n.edges, [](const Edge& e) { return static_cast<int>(e.kind); });
    array(out, "edge_from", n.edges, [](const Edge& e) { return e.from; });
    array(out, "edge_to", n.edges, [](const Edge& e) { return e.to; });
    array(out, "law", n.edges, [&](const Edge& e) { return law_json(n, e, pump); });
    array(out, "gate", edges, edge([&](const Edge& e, const auto& x) { return is_open(e.gate, s.drive) ? x.at_from : 0.0; }));
    array(out, "ratio", edges, edge([](const Edge&, const auto& x) { return x.ratio; }));
    array(out, "head", edges, edge([](const Edge&, const auto& x) { return x.head_pa; }));
    array(out, "density", edges, edge([](const Edge&, const auto& x) { return x.density; }));
    array(out, "viscosity", edges, edge([](const Edge&, const auto& x) { return x.viscosity; }));
    array(out, "choke_from", edges, edge([](const Edge&, const auto& x) { return x.choke_from; }));
    array(out, "choke_to", edges, edge([](const Edge&, const auto& x) { return x.choke_to; }));
    array(out, "slip", edges, edge([](const Edge&, const auto& x) { return x.slip; }));
    array(out, "low", edges, edge([](const Edge&, const auto& x) { return x.low_pa; }));
    array(out, "high", edges, edge([](const Edge&, const auto& x) { return x.high_pa; }));
    array(out, "inertia", edges, [&](int e) {
      return s.model->flow_state(e) < 0 ? 0.0 : n.edges[at(e)].inertia_kg_per_m4 * s.model->edge_state(e).density;
    });
    array(out, "motion", s.motion, same);
    array(out, "position", s.position_m, same);
    array(out, "viscous", n.axes, [](const Axis& a) { return a.viscous_n_s_per_m; });
    array(out, "fixed", n.axes, [](const Axis& a) { return a.fixed_n; });
    array(out, "running", n.axes, [](const Axis& a) { return a.running_n; });
    array(out, "weight", n.panel, [](const auto& p) {
      if (p.hinged) throw std::runtime_error("hinged panels are not in the Python equations");
      return p.weight_n;
    });
    array(out, "abs_tol", s.abs_tol, same);
    array(out, "scale", s.scale, same);
    array(out, "time_s", s.time_s, same);
    array(out, "reference", s.reference, same);
    write_samples(out, s);
    out << "}";
  }
  out << "]\n";
}

}  // namespace evenstroke::benchmark
