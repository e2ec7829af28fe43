#pragma once
// Bodies of FlowModel, flow/model.hpp.

namespace evenstroke {

template <class T>
FlowModel<T>::FlowModel(const Network& net)
    : net_(net), edges_(static_cast<int>(net.edges.size())), axes_(static_cast<int>(net.axes.size())) {
  const std::size_t m = at(edges_), a = at(axes_), n = net.places.size();
  closure_.resize(n);
  for (auto* v : {&volume_, &source_, &available_}) v->assign(n, T(0));
  for (auto* v : {&position_, &moving_, &direction_, &viscous_, &force_, &load_}) v->assign(a, T(0));
  for (auto* v : {&gate_, &q_}) v->assign(m, T(0));
  p_.resize(n);
  gradient_.assign(3 * m + n, T(0));
  state_.resize(m);
  for (int i = 0; i < axes_; ++i) viscous_[at(i)] = T(net.axes[at(i)].viscous_n_s_per_m);
  for (const auto& o : net.orifices) orifices_.push_back({T(o.laminar), T(o.turbulent)});
  for (const auto& l : net.lines) lines_.push_back({T(l.resistance), T(l.minor), T(l.re_per_flow)});
  for (const auto& l : net.leaks) leaks_.push_back({T(l.conductance_m3_per_s_pa)});
  run_pump(net.pump);
  const auto spill = [](const ReliefLaw<double>& r) {
    return ReliefLaw<T>{T(r.crack_pa_diff), T(r.gain), T(r.round_pa_diff)};
  };
  relief_ = spill(net.relief);
  for (const auto& s : net.seals) seals_.push_back(spill(s));
  for (const auto& c : net.counterbalances)
    counterbalances_.push_back({T(c.crack_pa_diff), T(c.gain), T(c.pilot_ratio), T(c.round_pa_diff)});
  for (const auto& p : net.panel) panel_.push_back({T(p.weight_n), p.hinged, T(p.a), T(p.b), T(p.l), T(p.c), T(p.phi_0)});

  struct Touch { int state; T dv; };                       // state -> change of the volume its content has
  std::vector<std::vector<Touch>> touch(n);
  for (int e = 0; e < edges_; ++e) {
    const Edge& edge = net.edges[at(e)];
    if (edge.from >= 0) touch[at(edge.from)].push_back({e, T(1)});
    if (edge.to >= 0) touch[at(edge.to)].push_back({e, T(-1)});
  }
  for (std::size_t p = 0; p < n; ++p)
    if (net.places[p].axis >= 0) touch[p].push_back({edges_ + net.places[p].axis, T(net.places[p].slope_m2)});
  for (std::size_t p = 0; p < n; ++p)
    for (const Touch& row : touch[p])
      for (const Touch& col : touch[p]) {
        const int place = static_cast<int>(p);
        const int gradient = row.state >= edges_ ? 3 * edges_ + place : 3 * row.state + (row.dv < T(0) ? 1 : 0);
        const int ratio = col.state < edges_ && col.dv < T(0) ? col.state : -1;
        if (&col == &touch[p].front()) clock_terms_.push_back({net.pattern.slot(row.state, edges_ + axes_), gradient, place});
        terms_.push_back({net.pattern.slot(row.state, col.state), gradient, place, ratio, col.dv});
      }
  for (int e = 0; e < edges_; ++e) {
    const int pilot = net.edges[at(e)].pilot;
    if (pilot < 0) continue;
    clock_terms_.push_back({net.pattern.slot(e, edges_ + axes_), 3 * e + 2, pilot});
    for (const Touch& col : touch[at(pilot)])
      terms_.push_back({net.pattern.slot(e, col.state), 3 * e + 2, pilot, col.state < edges_ && col.dv < T(0) ? col.state : -1,
                        col.dv});
  }
  for (int i = 0; i < net.branches(); ++i)
    for (int j = 0; j < net.branches(); ++j) coupling_slot_.push_back(net.pattern.slot(edges_ + i, edges_ + j));
}

template <class T>
void FlowModel<T>::set_drive(const Drive& d) {
  run_pump(pump_at(net_, d.supply_v));
  on_panel_ = d.on_panel;
  held_.limit_n = T(d.held_n);
  hand_ = d.hand;
  for (int a = 0; a < axes_; ++a) {
    const Axis& axis = net_.axes[at(a)];
    viscous_[at(a)] = T(axis.viscous_n_s_per_m + (hand_ == 0 ? 0.0 : axis.hand_n / axis.hand_m_per_s));
  }
  for (int e = 0; e < edges_; ++e) gate_[at(e)] = T(is_open(net_.edges[at(e)].gate, d) ? 1 : 0);
}

template <class T>
void FlowModel<T>::freeze_place(int place, const Closure<T>& c, T volume_m3, T source_m3_per_s) {
  closure_[at(place)] = c;
  source_[at(place)] = source_m3_per_s;
  volume_[at(place)] = volume_m3;
}

template <class T>
void FlowModel<T>::freeze_axis(int axis, T position_m) {
  position_[at(axis)] = position_m;
}

template <class T>
void FlowModel<T>::freeze_edge(int edge, const EdgeState<T>& state) {
  state_[at(edge)] = state;
}

template <class T>
void FlowModel<T>::set_motion(int axis, int motion) {
  moving_[at(axis)] = T(motion != 0 ? 1 : 0);
  direction_[at(axis)] = T(motion);
}

template <class T>
PilotedFlow<T> FlowModel<T>::edge_flow(std::size_t e) const {
  const Edge& edge = net_.edges[e];
  const EdgeState<T>& s = state_[e];
  const T from = pressure(edge.from) + s.head_pa, to = pressure(edge.to);
  const auto two = [](const ThroughFlow<T>& f) { return PilotedFlow<T>{f.q, f.dq_dfrom, f.dq_dto, T(0)}; };
  switch (edge.kind) {
    case EdgeKind::pump: return two(evenstroke::flow(pump_, from, to, s.slip));
    case EdgeKind::relief: return two(evenstroke::flow(relief_, from, to));
    case EdgeKind::seal: return two(evenstroke::flow(seals_[at(edge.law)], from, to));
    case EdgeKind::orifice:
      return two(evenstroke::flow(orifices_[at(edge.law)], from, to, s.density, s.viscosity, s.choke_from, s.choke_to));
    case EdgeKind::line: {
      const T drive = from - to;
      if (drive > s.low_pa && drive < s.high_pa) return {T(0), T(0), T(0), T(0)};
      const T holds = drive <= s.low_pa ? s.low_pa : s.high_pa;
      return two(evenstroke::flow(lines_[at(edge.law)], from - holds, to, s.density, s.viscosity));
    }
    case EdgeKind::counterbalance: return evenstroke::flow(counterbalances_[at(edge.law)], from, to, pressure(edge.pilot));
    case EdgeKind::leak: break;
  }
  return two(evenstroke::flow(leaks_[at(edge.law)], from, to));
}

template <class T>
void FlowModel<T>::evaluate(const T* y) {
  const std::size_t n = p_.size();
  for (std::size_t p = 0; p < n; ++p) {
    const int axis = net_.places[p].axis;
    available_[p] = volume_[p] + source_[p] * y[edges_ + axes_] + (axis < 0 ? T(0) : T(net_.places[p].slope_m2) * y[edges_ + axis]);
  }
  for (int e = 0; e < edges_; ++e) {
    const Edge& edge = net_.edges[at(e)];
    if (edge.from >= 0) available_[at(edge.from)] += y[e];
    if (edge.to >= 0) available_[at(edge.to)] -= state_[at(e)].ratio * y[e];
  }
  for (std::size_t p = 0; p < n; ++p) p_[p] = evenstroke::pressure(closure_[p], available_[p]);

  for (int e = 0; e < edges_; ++e) {
    const T gate = gate_[at(e)] * state_[at(e)].at_from;
    if (gate == T(0)) {
      q_[at(e)] = gradient_[at(3 * e)] = gradient_[at(3 * e + 1)] = gradient_[at(3 * e + 2)] = T(0);
      continue;
    }
    const PilotedFlow<T> r = edge_flow(at(e));
    q_[at(e)] = gate * r.q;
    gradient_[at(3 * e)] = gate * r.dq_dfrom;
    gradient_[at(3 * e + 1)] = gate * r.dq_dto;
    gradient_[at(3 * e + 2)] = gate * r.dq_dpilot;
  }

  const int rods = net_.branches();
  for (int a = 0; a < axes_; ++a) {
    force_[at(a)] = T(hand_ * net_.axes[at(a)].hand_n - net_.axes[at(a)].fixed_n);
    load_[at(a)] = T(0);
  }
  const auto x = [&](int i) { return position_[at(i)] + y[edges_ + i]; };
  if (on_panel_)
    for (int i = 0; i < rods; ++i) {
      T load = panel_[at(i)].force(x(i)).n;
      for (int j = 0; j < rods; ++j)
        load += T(net_.coupling_n_per_m) * (x(i) - x(j));
      load_[at(i)] = load;
    }
  if (held_.limit_n > T(0))
    for (int i = 0; i + 1 < rods; ++i) {
      const T pull = held_.force(x(i) - x(i + 1)).n;
      load_[at(i)] += pull;
      load_[at(i + 1)] -= pull;
    }
  for (int i = 0; i < rods; ++i) force_[at(i)] -= load_[at(i)];
  for (std::size_t p = 0; p < n; ++p) {
    const int axis = net_.places[p].axis;
    if (axis < 0) continue;
    force_[at(axis)] += T(net_.places[p].slope_m2) * p_[p].p;
    gradient_[at(3 * edges_) + p] = moving_[at(axis)] * T(net_.places[p].slope_m2) / viscous_[at(axis)];
  }
}

template <class T>
void FlowModel<T>::rhs(const T* y, T* f) {
  evaluate(y);
  rates(f);
}

template <class T>
T FlowModel<T>::speed(int a) const {
  return moving_[at(a)] * (force_[at(a)] - direction_[at(a)] * T(net_.axes[at(a)].running_n)) / viscous_[at(a)];
}

template <class T>
void FlowModel<T>::rates(T* f) const {
  for (int e = 0; e < edges_; ++e) f[e] = q_[at(e)];
  for (int a = 0; a < axes_; ++a) f[edges_ + a] = speed(a);
  f[edges_ + axes_] = T(1);
}

template <class T>
void FlowModel<T>::jacobian(const T* y, T* values) {
  evaluate(y);
  for (int s = 0; s < net_.pattern.slots(); ++s) values[s] = T(0);
  for (const Term& t : terms_)
    values[t.slot] += gradient_[at(t.gradient)] * p_[at(t.place)].dp_dv * (t.ratio < 0 ? t.dv : t.dv * state_[at(t.ratio)].ratio);
  for (const ClockTerm& t : clock_terms_)
    values[t.slot] += gradient_[at(t.gradient)] * p_[at(t.place)].dp_dv * source_[at(t.place)];
  const int rods = net_.branches();
  const auto add = [&](int i, int j, T df_dx) {
    values[coupling_slot_[at(i * rods + j)]] += moving_[at(i)] * df_dx / viscous_[at(i)];
  };
  if (on_panel_)
    for (int i = 0; i < rods; ++i) {
      const T k = T(net_.coupling_n_per_m);
      add(i, i, -panel_[at(i)].force(position_[at(i)] + y[edges_ + i]).dn_dx);
      for (int j = 0; j < rods && k > T(0); ++j) add(i, j, i == j ? -k * T(rods - 1) : k);
    }
  if (held_.limit_n > T(0))
    for (int i = 0; i + 1 < rods; ++i) {
      const int j = i + 1;
      const T k = held_.force(position_[at(i)] + y[edges_ + i] - position_[at(j)] - y[edges_ + j]).dn_dd;
      add(i, i, -k), add(i, j, k), add(j, j, -k), add(j, i, k);
    }
}

/// sum E_i(x_i) + k/2 sum over pairs (x_i - x_j)^2 + held: the load of rod i is its slope in x_i
template <class T>
T FlowModel<T>::carried_j(const T* x) const {
  T e = T(0);
  for (int i = 0; on_panel_ && i < net_.branches(); ++i) {
    e += panel_[at(i)].energy_j(x[i]);
    for (int j = 0; j < i; ++j) e += T(net_.coupling_n_per_m) / T(2) * (x[i] - x[j]) * (x[i] - x[j]);
  }
  for (int i = 0; i + 1 < net_.branches(); ++i) e += held_.energy_j(x[i] - x[i + 1]);
  return e;
}

template <class T>
T FlowModel<T>::hand_n(int i) const {
  const Axis& a = net_.axes[at(i)];
  return hand_ == 0 ? T(0) : T(hand_ * a.hand_n) - T(a.hand_n / a.hand_m_per_s) * speed(i);
}

}  // namespace evenstroke
