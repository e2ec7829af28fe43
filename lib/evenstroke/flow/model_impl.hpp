#pragma once
// Bodies of FlowModel, flow/model.hpp.

namespace evenstroke {

template <class T>
FlowModel<T>::FlowModel(const Network& net)
    : net_(net), edges_(static_cast<int>(net.edges.size())), axes_(static_cast<int>(net.axes.size())) {
  const std::size_t m = at(edges_), a = at(axes_), n = net.places.size();
  closure_.resize(n);
  for (auto* v : {&volume_, &available_}) v->assign(n, T(0));
  for (auto* v : {&position_, &moving_, &direction_, &force_, &load_}) v->assign(a, T(0));
  for (auto* v : {&gate_, &q_}) v->assign(m, T(0));
  p_.resize(n);
  gradient_.assign(2 * m + n, T(0));
  for (const auto& o : net.orifices) orifices_.push_back({T(o.laminar), T(o.turbulent)});
  for (const auto& l : net.lines) lines_.push_back({T(l.resistance), T(l.minor), T(l.re_per_flow)});
  for (const auto& l : net.leaks) leaks_.push_back({T(l.conductance_m3_per_s_pa)});
  pump_ = {T(net.pump.q0), T(net.pump.q_slope), T(net.pump.i0), T(net.pump.i_slope), T(net.pump.q_round)};
  relief_ = {T(net.relief.crack_pa_diff), T(net.relief.gain), T(net.relief.round_pa_diff)};

  ratio_.assign(m, T(1));
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
        const int gradient = row.state >= edges_ ? 2 * edges_ + place : 2 * row.state + (row.dv < T(0) ? 1 : 0);
        const int ratio = col.state < edges_ && col.dv < T(0) ? col.state : -1;
        terms_.push_back({net.pattern.slot(row.state, col.state), gradient, place, ratio, col.dv});
      }
  for (int i = 0; i < net.branches(); ++i)
    for (int j = 0; j < net.branches(); ++j) coupling_slot_.push_back(net.pattern.slot(edges_ + i, edges_ + j));
}

template <class T>
void FlowModel<T>::set_drive(const Drive& d) {
  on_panel_ = d.on_panel;
  for (int e = 0; e < edges_; ++e) {
    bool open = true;
    switch (net_.edges[at(e)].gate) {
      case Switch::always: break;
      case Switch::motor: open = d.motor; break;
      case Switch::extend: open = d.extend; break;
      case Switch::retract: open = d.retract; break;
      case Switch::bypass: open = d.bypass_open; break;
    }
    gate_[at(e)] = T(open ? 1 : 0);
  }
}

template <class T>
void FlowModel<T>::freeze_place(int place, const Closure<T>& c, T volume_m3) {
  closure_[at(place)] = c;
  volume_[at(place)] = volume_m3;
}

template <class T>
void FlowModel<T>::freeze_axis(int axis, T position_m) {
  position_[at(axis)] = position_m;
}

template <class T>
void FlowModel<T>::freeze_edge(int edge, T ratio) {
  ratio_[at(edge)] = ratio;
}

template <class T>
void FlowModel<T>::set_motion(int axis, int motion) {
  moving_[at(axis)] = T(motion != 0 ? 1 : 0);
  direction_[at(axis)] = T(motion);
}

template <class T>
ThroughFlow<T> FlowModel<T>::edge_flow(const Edge& e, T p_from, T p_to) const {
  switch (e.kind) {
    case EdgeKind::pump: return evenstroke::flow(pump_, p_from, p_to);
    case EdgeKind::relief: return evenstroke::flow(relief_, p_from, p_to);
    case EdgeKind::orifice: return evenstroke::flow(orifices_[at(e.law)], p_from, p_to);
    case EdgeKind::line: return evenstroke::flow(lines_[at(e.law)], p_from, p_to);
    case EdgeKind::leak: break;
  }
  return evenstroke::flow(leaks_[at(e.law)], p_from, p_to);
}

template <class T>
void FlowModel<T>::evaluate(const T* y) {
  const std::size_t n = p_.size();
  for (std::size_t p = 0; p < n; ++p) {
    const int axis = net_.places[p].axis;
    available_[p] = volume_[p] + (axis < 0 ? T(0) : T(net_.places[p].slope_m2) * y[edges_ + axis]);
  }
  for (int e = 0; e < edges_; ++e) {
    const Edge& edge = net_.edges[at(e)];
    if (edge.from >= 0) available_[at(edge.from)] += y[e];
    if (edge.to >= 0) available_[at(edge.to)] -= ratio_[at(e)] * y[e];
  }
  for (std::size_t p = 0; p < n; ++p) p_[p] = evenstroke::pressure(closure_[p], available_[p]);

  for (int e = 0; e < edges_; ++e) {
    const T gate = gate_[at(e)];
    if (gate == T(0)) {
      q_[at(e)] = gradient_[at(2 * e)] = gradient_[at(2 * e + 1)] = T(0);
      continue;
    }
    const Edge& edge = net_.edges[at(e)];
    const ThroughFlow<T> r = edge_flow(edge, pressure(edge.from), pressure(edge.to));
    q_[at(e)] = gate * r.q;
    gradient_[at(2 * e)] = gate * r.dq_dfrom;
    gradient_[at(2 * e + 1)] = gate * r.dq_dto;
  }

  const int rods = net_.branches();
  for (int a = 0; a < axes_; ++a) {
    force_[at(a)] = T(-net_.axes[at(a)].fixed_n);
    load_[at(a)] = T(0);
  }
  if (on_panel_)
    for (int i = 0; i < rods; ++i) {
      T load = T(net_.panel_load_n[at(i)]);
      for (int j = 0; j < rods; ++j)
        load += T(net_.coupling_n_per_m) * (position_[at(i)] + y[edges_ + i] - position_[at(j)] - y[edges_ + j]);
      load_[at(i)] = load;
      force_[at(i)] -= load;
    }
  for (std::size_t p = 0; p < n; ++p) {
    const int axis = net_.places[p].axis;
    if (axis < 0) continue;
    force_[at(axis)] += T(net_.places[p].slope_m2) * p_[p].p;
    gradient_[at(2 * edges_) + p] = moving_[at(axis)] * T(net_.places[p].slope_m2 / net_.axes[at(axis)].viscous_n_s_per_m);
  }
}

template <class T>
void FlowModel<T>::rhs(const T* y, T* f) {
  evaluate(y);
  rates(f);
}

template <class T>
void FlowModel<T>::rates(T* f) const {
  for (int e = 0; e < edges_; ++e) f[e] = q_[at(e)];
  for (int a = 0; a < axes_; ++a) {
    const Axis& axis = net_.axes[at(a)];
    f[edges_ + a] = moving_[at(a)] * (force_[at(a)] - direction_[at(a)] * T(axis.running_n)) / T(axis.viscous_n_s_per_m);
  }
}

template <class T>
void FlowModel<T>::jacobian(const T* y, T* values) {
  evaluate(y);
  for (int s = 0; s < net_.pattern.slots(); ++s) values[s] = T(0);
  for (const Term& t : terms_)
    values[t.slot] += gradient_[at(t.gradient)] * p_[at(t.place)].dp_dv * (t.ratio < 0 ? t.dv : t.dv * ratio_[at(t.ratio)]);
  if (!on_panel_ || net_.coupling_n_per_m <= 0) return;
  const int rods = net_.branches();
  for (int i = 0; i < rods; ++i) {
    const T k = moving_[at(i)] * T(net_.coupling_n_per_m / net_.axes[at(i)].viscous_n_s_per_m);
    for (int j = 0; j < rods; ++j) values[coupling_slot_[at(i * rods + j)]] += i == j ? -k * T(rods - 1) : k;
  }
}

template <class T>
T FlowModel<T>::spring_energy_j() const {   // sum over pairs of k (x_i - x_j)^2/2; from the loads: sum x_i dW_i / 2
  if (!on_panel_) return T(0);
  T e = T(0);
  for (int i = 0; i < net_.branches(); ++i)
    e += (load_[at(i)] - T(net_.panel_load_n[at(i)])) * position_[at(i)] / T(2);
  return e;
}

}  // namespace evenstroke
