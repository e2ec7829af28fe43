#pragma once
// Bodies of FlowModel, flow/model.hpp.

namespace evenstroke {

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
  way_ = T(net_.reversing_spool && d.retract ? -1 : 1);
  const Synchroniser& y = net_.rig.synchroniser;
  const double left_m2 = d.bypass_open ? y.bypass_area_m2
                                       : std::max(y.bypass_leak_area_m2, y.bypass_area_m2 * std::min(1.0, d.bypass_rad / y.bypass_turn_rad));
  for (int e = 0; e < edges_; ++e) {
    const Switch gate = net_.edges[at(e)].gate;
    gate_[at(e)] = gate == Switch::bypass ? T(left_m2 / y.bypass_area_m2) : T(is_open(gate, d) ? 1 : 0);
  }
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
PilotedFlow<T> FlowModel<T>::orifice_flow(std::size_t e, T from, T to) const {
  const Edge& edge = net_.edges[e];
  const EdgeState<T>& s = state_[e];
  if (edge.top && from <= to) return {T(0), T(0), T(0), T(0)};   // a bleed screw is shut before anything comes back
  const ThroughFlow<T> f =
      evenstroke::flow(orifices_[at(edge.law)], from, to, s.density, s.viscosity, s.choke_from, s.choke_to);
  if (edge.release >= 0) return released(releases_[at(edge.release)], f, from, to, pressure(edge.pilot));
  if (edge.opening < 0) return {f.q, f.dq_dfrom, f.dq_dto, T(0)};
  const T share = open_[at(edge.opening)].share;
  return {share * f.q, share * f.dq_dfrom, share * f.dq_dto, T(0)};
}

/// Turned by the shaft, and slipping; what it is turned by is another gradient.
template <class T>
PilotedFlow<T> FlowModel<T>::section_flow(std::size_t e, T from, T to) const {
  const Edge& edge = net_.edges[e];
  const auto& section = net_.sections[at(edge.law)];
  const T w = speed(edge.axis), slip = state_[e].slip * T(section.slip_m3_per_s_pa);
  const bool forward = w >= T(0);
  const Fill<T> f = fill(pressure(forward ? edge.from : edge.to), T(net_.rig.air.cavity_pa_abs));
  const T turned = T(section.m3_per_rad) * w, starved = turned * f.slope;
  return {f.share * turned + slip * (from - to), slip + (forward ? starved : T(0)), (forward ? T(0) : starved) - slip, T(0)};
}

template <class T>
PilotedFlow<T> FlowModel<T>::edge_flow(std::size_t e) const {
  const Edge& edge = net_.edges[e];
  const EdgeState<T>& s = state_[e];
  const T from = pressure(edge.from) + s.head_pa, to = pressure(edge.to);
  const auto two = [](const ThroughFlow<T>& f) { return PilotedFlow<T>{f.q, f.dq_dfrom, f.dq_dto, T(0)}; };
  switch (edge.kind) {
    case EdgeKind::pump: {
      ThroughFlow<T> f = evenstroke::flow(pump_, from, to, s.slip);
      if (edge.from < 0) return two(f);
      const Fill<T> starved = fill(pressure(edge.from), T(net_.rig.air.cavity_pa_abs));
      return {starved.share * f.q, starved.share * f.dq_dfrom + starved.slope * f.q, starved.share * f.dq_dto, T(0)};
    }
    case EdgeKind::relief: return two(evenstroke::flow(relief_, from, to));
    case EdgeKind::seal: return two(evenstroke::flow(seals_[at(edge.law)], from, to));
    case EdgeKind::spill: return two(evenstroke::flow(spills_[at(edge.law)], from, to));
    case EdgeKind::orifice:
    case EdgeKind::released: return orifice_flow(e, from, to);
    case EdgeKind::section: return section_flow(e, from, to);
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
void FlowModel<T>::forces(const T* y) {
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
  for (std::size_t p = 0; p < p_.size(); ++p) {
    const int axis = net_.places[p].axis;
    if (axis < 0) continue;
    force_[at(axis)] += T(net_.places[p].slope_m2) * p_[p].p;
    gradient_[at(3 * edges_) + p] = moving_[at(axis)] * T(net_.places[p].slope_m2) / viscous_[at(axis)];
  }
}

template <class T>
void FlowModel<T>::own_forces(const T* y) {
  for (std::size_t k = 0; k < open_.size(); ++k) {
    const Bent& b = bent_[k];
    const int axis = net_.edges[at(b.edge)].axis;
    const T way = net_.axes[at(axis)].kind == AxisKind::spool ? way_ : T(1);
    open_[k] = opening(openings_[k], way * (position_[at(axis)] + y[edges_ + axis]));
    open_[k].slope *= way;
  }
  for (int a = 0; a < axes_; ++a) {
    const T spring = T(net_.axes[at(a)].spring_n_per_m);
    own_slope_[at(a)] = -spring;
    if (spring > T(0)) force_[at(a)] -= spring * (position_[at(a)] + y[edges_ + a]);
  }
  for (std::size_t k = 0; k < net_.flow_forces.size(); ++k) {
    const Edge& e = net_.edges[at(net_.flow_forces[k].edge)];
    const auto open = open_[at(e.opening)];
    const Ramp<T> dp = flow_force_drop(pressure(e.from) + state_[at(net_.flow_forces[k].edge)].head_pa - pressure(e.to));
    const T shuts = openings_[at(e.opening)].per * way_ > T(0) ? T(-1) : T(1);
    const T per = shuts * T(net_.flow_forces[k].per_m2), mobility = moving_[at(e.axis)] / viscous_[at(e.axis)];
    force_[at(e.axis)] += per * open.share * dp.y;
    own_slope_[at(e.axis)] += per * open.slope * dp.y;
    gradient_[at(flow_force_row_) + 2 * k] = mobility * per * open.share * dp.slope;
    gradient_[at(flow_force_row_) + 2 * k + 1] = -mobility * per * open.share * dp.slope;
  }
  for (std::size_t k = 0; k < sections_.size(); ++k) {
    const Edge& e = net_.edges[at(sections_[k])];
    const T d = T(net_.sections[at(e.law)].m3_per_rad), mobility = moving_[at(e.axis)] / viscous_[at(e.axis)];
    force_[at(e.axis)] += d * (pressure(e.from) + state_[at(sections_[k])].head_pa - pressure(e.to));
    gradient_[at(shaft_row_) + 2 * k] = mobility * d;
    gradient_[at(shaft_row_) + 2 * k + 1] = -mobility * d;
  }
}

template <class T>
void FlowModel<T>::set_going(std::size_t k, T q) {
  const Edge& edge = net_.edges[at(inert_[k])];
  const EdgeState<T>& s = state_[at(inert_[k])];
  const LineLaw<T>& law = lines_[at(edge.law)];
  const LineLaw<T> mixture{law.resistance * s.viscosity, law.minor * s.density, law.re_per_flow * s.density / s.viscosity};
  const T across = pressure(edge.from) + s.head_pa - pressure(edge.to), inertia = T(edge.inertia_kg_per_m4) * s.density;
  const bool held = across > s.low_pa && across < s.high_pa, back = q < T(0);
  const T drive = held ? T(0) : across - (across <= s.low_pa ? s.low_pa : s.high_pa);
  const Drop<T> lost = drop(mixture, back ? -q : q);
  inert_rate_[k] = (drive - (back ? -lost.dp : lost.dp)) / inertia;
  inert_slope_[k] = -lost.slope / inertia;
  gradient_[at(inert_row_) + 2 * k] = held ? T(0) : T(1) / inertia;
  gradient_[at(inert_row_) + 2 * k + 1] = held ? T(0) : T(-1) / inertia;
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
  forces(y);
  if (owns_) own_forces(y);

  for (int e = 0; e < edges_; ++e) {
    const T gate = gate_[at(e)] * state_[at(e)].at_from;
    if (flow_of_[at(e)] >= 0) {
      q_[at(e)] = y[first_flow() + flow_of_[at(e)]];
      set_going(at(flow_of_[at(e)]), q_[at(e)]);
      continue;
    }
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
  for (std::size_t i = 0; i < sections_.size(); ++i) {       // each turns with what drives the shaft through any of them
    const Edge& e = net_.edges[at(sections_[i])];
    const T d = T(net_.sections[at(e.law)].m3_per_rad), w = speed(e.axis);
    const T share = fill(pressure(w >= T(0) ? e.from : e.to), T(net_.rig.air.cavity_pa_abs)).share;
    const T turned = gate_[at(sections_[i])] * state_[at(sections_[i])].at_from * share * d;
    for (std::size_t j = 0; j < 2 * sections_.size(); ++j)
      gradient_[at(turned_row_) + 2 * sections_.size() * i + j] = turned * gradient_[at(shaft_row_) + j];
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
  for (std::size_t k = 0; k < inert_.size(); ++k) f[at(first_flow()) + k] = inert_rate_[k];
}

template <class T>
void FlowModel<T>::jacobian(const T* y, T* values) {
  evaluate(y);
  for (int s = 0; s < pattern_.slots(); ++s) values[s] = T(0);
  for (const Term& t : terms_)
    values[t.slot] += gradient_[at(t.gradient)] * p_[at(t.place)].dp_dv * (t.ratio < 0 ? t.dv : t.dv * state_[at(t.ratio)].ratio);
  for (const ClockTerm& t : clock_terms_)
    values[t.slot] += gradient_[at(t.gradient)] * p_[at(t.place)].dp_dv * source_[at(t.place)];
  for (std::size_t k = 0; k < inert_.size(); ++k) {
    values[inert_slot_[k]] += inert_slope_[k];
    values[set_slot_[k]] += T(1);
  }
  for (std::size_t k = 0; k < bent_.size(); ++k) {
    const T share = open_[k].share;
    if (open_[k].slope != T(0)) values[bent_[k].slot] += q_[at(bent_[k].edge)] / share * open_[k].slope;
  }
  for (int a = 0; a < axes_ && owns_; ++a) values[own_slot_[at(a)]] += moving_[at(a)] * own_slope_[at(a)] / viscous_[at(a)];
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
