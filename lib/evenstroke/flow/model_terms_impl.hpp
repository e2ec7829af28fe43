#pragma once
// What FlowModel sets up once, flow/model.hpp: its laws and the terms of its Jacobian.

namespace evenstroke {

template <class T>
FlowModel<T>::FlowModel(const Network& net, bool inertance)
    : net_(net), edges_(static_cast<int>(net.edges.size())), axes_(static_cast<int>(net.axes.size())),
      pattern_(inertance ? inertance_pattern(net) : net.pattern), flow_of_(net.edges.size(), -1) {
  for (int e = 0; e < edges_ && inertance; ++e)
    if (net.edges[at(e)].inertia_kg_per_m4 > 0) {
      flow_of_[at(e)] = static_cast<int>(inert_.size());
      inert_.push_back(e);
    }
  const std::size_t m = at(edges_), a = at(axes_), n = net.places.size();
  closure_.resize(n);
  for (auto* v : {&volume_, &source_, &available_}) v->assign(n, T(0));
  for (auto* v : {&position_, &moving_, &direction_, &viscous_, &force_, &load_, &own_slope_}) v->assign(a, T(0));
  for (auto* v : {&gate_, &q_}) v->assign(m, T(0));
  p_.resize(n);
  state_.resize(m);
  for (int i = 0; i < axes_; ++i) viscous_[at(i)] = T(net.axes[at(i)].viscous_n_s_per_m);
  add_laws();

  std::vector<std::vector<Touch>> touch(n);
  for (int e = 0; e < edges_; ++e) {
    const Edge& edge = net.edges[at(e)];
    if (edge.from >= 0) touch[at(edge.from)].push_back({e, T(1)});
    if (edge.to >= 0) touch[at(edge.to)].push_back({e, T(-1)});
  }
  for (std::size_t p = 0; p < n; ++p)
    if (net.places[p].axis >= 0) touch[p].push_back({edges_ + net.places[p].axis, T(net.places[p].slope_m2)});
  couple(touch);
  for (int i = 0; i < net.branches(); ++i)
    for (int j = 0; j < net.branches(); ++j) coupling_slot_.push_back(pattern_.slot(edges_ + i, edges_ + j));
}

template <class T>
void FlowModel<T>::add_laws() {
  for (const auto& o : net_.orifices) orifices_.push_back({T(o.laminar), T(o.turbulent)});
  for (const auto& l : net_.lines) lines_.push_back({T(l.resistance), T(l.minor), T(l.re_per_flow)});
  for (const auto& l : net_.leaks) leaks_.push_back({T(l.conductance_m3_per_s_pa)});
  run_pump(net_.pump);
  const auto spill = [](const ReliefLaw<double>& r) {
    return ReliefLaw<T>{T(r.crack_pa_diff), T(r.gain), T(r.round_pa_diff)};
  };
  relief_ = spill(net_.relief);
  for (const auto& s : net_.seals) seals_.push_back(spill(s));
  for (const auto& s : net_.spills) spills_.push_back(spill(s));
  for (const auto& c : net_.counterbalances)
    counterbalances_.push_back({T(c.crack_pa_diff), T(c.gain), T(c.pilot_ratio), T(c.round_pa_diff)});
  for (const auto& o : net_.openings) openings_.push_back({T(o.shut_at), T(o.per), T(o.least)});
  for (const auto& r : net_.releases) releases_.push_back({T(r.pilot_ratio), T(r.spring_pa_diff), T(r.full_pa_diff)});
  for (const auto& p : net_.panel) panel_.push_back({T(p.weight_n), p.hinged, T(p.a), T(p.b), T(p.l), T(p.c), T(p.phi_0)});
  open_.resize(openings_.size());
}

template <class T>
void FlowModel<T>::depends(int row, int gradient, int place, const std::vector<Touch>& touch) {
  clock_terms_.push_back({pattern_.slot(row, edges_ + axes_), gradient, place});
  for (const Touch& col : touch) {
    const int ratio = col.state < edges_ && col.dv < T(0) ? col.state : -1;
    terms_.push_back({pattern_.slot(row, col.state), gradient, place, ratio, col.dv});
  }
}

/// Gradients in order: three per edge; one per place; two per flow force; two per section on the shaft; for each
/// section those of all sections.
template <class T>
void FlowModel<T>::couple(const std::vector<std::vector<Touch>>& touch) {
  for (std::size_t p = 0; p < touch.size(); ++p)
    for (const Touch& row : touch[p]) {
      const int place = static_cast<int>(p);
      depends(row.state, row.state >= edges_ ? 3 * edges_ + place : 3 * row.state + (row.dv < T(0) ? 1 : 0), place, touch[p]);
    }
  bent_.resize(openings_.size());
  for (int e = 0; e < edges_; ++e) {
    const Edge& edge = net_.edges[at(e)];
    if (edge.pilot >= 0) depends(e, 3 * e + 2, edge.pilot, touch[at(edge.pilot)]);
    if (edge.opening >= 0) bent_[at(edge.opening)] = {pattern_.slot(e, edges_ + edge.axis), e};
    if (edge.kind == EdgeKind::section) sections_.push_back(e);
  }
  const int sections = static_cast<int>(sections_.size()), forces = static_cast<int>(net_.flow_forces.size());
  flow_force_row_ = 3 * edges_ + static_cast<int>(touch.size());
  shaft_row_ = flow_force_row_ + 2 * forces;
  turned_row_ = shaft_row_ + 2 * sections;
  inert_row_ = turned_row_ + 2 * sections * sections;
  gradient_.assign(at(inert_row_) + 2 * inert_.size(), T(0));
  const auto both_ends = [&](int row, int gradient, const Edge& e) {
    if (e.from >= 0) depends(row, gradient, e.from, touch[at(e.from)]);
    if (e.to >= 0) depends(row, gradient + 1, e.to, touch[at(e.to)]);
  };
  for (int k = 0; k < forces; ++k) {
    const Edge& e = net_.edges[at(net_.flow_forces[at(k)].edge)];
    both_ends(edges_ + e.axis, flow_force_row_ + 2 * k, e);
  }
  for (int j = 0; j < sections; ++j) {
    const Edge& e = net_.edges[at(sections_[at(j)])];
    both_ends(edges_ + e.axis, shaft_row_ + 2 * j, e);
    for (int i = 0; i < sections; ++i) both_ends(sections_[at(i)], turned_row_ + 2 * (sections * i + j), e);
  }
  for (int k = 0; k < static_cast<int>(inert_.size()); ++k) {
    const int e = inert_[at(k)], flow = first_flow() + k;
    both_ends(flow, inert_row_ + 2 * k, net_.edges[at(e)]);
    inert_slot_.push_back(pattern_.slot(flow, flow));
    set_slot_.push_back(pattern_.slot(e, flow));
  }
  inert_rate_.assign(inert_.size(), T(0));
  inert_slope_.assign(inert_.size(), T(0));
  for (int a = 0; a < axes_; ++a) own_slot_.push_back(pattern_.slot(edges_ + a, edges_ + a));
  owns_ = !net_.openings.empty() || sections > 0;
}

}  // namespace evenstroke
