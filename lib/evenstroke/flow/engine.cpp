#include "evenstroke/flow/engine.hpp"

#include <algorithm>
#include <cmath>

#include "evenstroke/solver/crossing.hpp"

namespace evenstroke {
namespace {

constexpr double release_n = 1e-3;        // beyond breakaway, so that a rod is not released and re-caught for ever
constexpr double settle_s = 1e-3;         // a re-closure's pressure jump is over by then
constexpr double overshoot = 0.15;        // a stiff transient ends a step with up to 12 % of its start, reversed: max|R| of Rodas5P

/// Wherever its rod or the carriage stands: a rod chamber is smallest when the rod is out.
double least_volume_m3(const Network& n, const Place& p) {
  if (p.axis < 0) return p.volume_m3;
  const Axis& a = n.axes[static_cast<std::size_t>(p.axis)];
  return p.volume_m3 + std::min({0.0, p.slope_m2 * a.low_m, p.slope_m2 * a.travel_m});
}

double smallest_m3(const Network& n) {
  double v = 1;
  for (const Place& p : n.places) {
    if (p.kind == PlaceKind::line) v = std::min(v, p.volume_m3);
    if (p.axis >= 0 && p.kind == PlaceKind::chamber)
      v = std::min(v, std::abs(p.slope_m2) * n.axes[static_cast<std::size_t>(p.axis)].travel_m);
  }
  return v;
}

}  // namespace

/// A small place full of oil turns a microlitre into bars: each edge is integrated as finely as its places ask for. Where
/// a law turns from laminar to a square root the pressure's error must also stay inside the laminar zone, R^2/(4 c) of
/// dp = R q + c q|q|: beyond it steps rattle from one side of the root to the other, each within tolerance, never growing.
std::vector<double> flow_tolerances(const Network& n, const Resolution& r) {
  constexpr double zone_share = 0.1, turbulent_re = 2000;
  const auto zone = [](double laminar, double turbulent) {
    return turbulent > 0 ? zone_share * laminar * laminar / (4 * turbulent) : 1e9;
  };
  std::vector<double> t;
  for (const Edge& e : n.edges) {
    double smallest = 1e-4, p_tol = r.pressure_tol_pa;
    for (const int p : {e.from, e.to})
      if (p >= 0) smallest = std::min(smallest, least_volume_m3(n, n.places[static_cast<std::size_t>(p)]));
    const auto law = static_cast<std::size_t>(e.law);
    if (e.kind == EdgeKind::orifice || e.kind == EdgeKind::released) p_tol = std::min(p_tol, zone(n.orifices[law].laminar, n.orifices[law].turbulent));
    if (e.kind == EdgeKind::spill) p_tol = std::min(p_tol, zone_share * n.spills[law].round_pa_diff);
    if (e.kind == EdgeKind::line) {
      const LineLaw<double>& l = n.lines[law];
      const double turns_pa = l.resistance * turbulent_re / l.re_per_flow;   // a wide line's friction doubles within pascals
      p_tol = std::min({p_tol, zone(l.resistance, l.minor), zone_share * turns_pa});
    }
    t.push_back(p_tol * smallest / n.liquid.k0_pa);
  }
  constexpr double angle_rad = 1e-2;   // of a shaft: nothing hangs on it, its sections' volumes are states of their own
  for (const Axis& a : n.axes) t.push_back(a.kind == AxisKind::shaft ? angle_rad : r.abs_position_m);
  t.push_back(1);   // the clock is exact
  constexpr double flow_m3_per_s = 1e-10;
  for (const Edge& e : n.edges)
    if (r.inertance && e.inertia_kg_per_m4 > 0) t.push_back(flow_m3_per_s);
  return t;
}

FlowEngine::FlowEngine(const Network& n, const Resolution& r)
    : net_(n), res_(r), model_(n, r.inertance), stepper_(r.method, model_.pattern(), flow_tolerances(n, r), r.rel_tol),
      going_(model_.inert().size(), 0.0) {
  const std::size_t size = at(model_.size());
  for (auto* v : {&y_, &f_, &dense_, &sum_, &still_}) v->assign(size, 0);
  for (auto* v : {&effort_, &effort_before_}) v->assign(n.edges.size() + n.axes.size(), 0);
  volume_.assign(n.edges.size(), 0);
  start_pressure_.assign(n.places.size(), p0_pa_abs);
  gas_.assign(n.places.size(), 0);
  for (auto* v : {&start_position_, &event_s_, &released_ago_s_}) v->assign(n.axes.size(), 0);
  for (auto* v : {&locked_, &ahead_}) v->assign(n.axes.size(), 0);
  jump_s_.assign(n.axes.size(), 0);
  quantum_m3_ = r.quantum_share * smallest_m3(n);
}

Closure<double> FlowEngine::closure(const Contents& c, int place) const {
  return {.oil_m3 = held(c, place).oil_kg / net_.rho0_kg_per_m3,
          .gas_j = gas_j(net_, c, place),
          .wall_m3_per_pa = net_.places[at(place)].wall_m3_per_pa,
          .p_floor_pa_abs = net_.rig.air.cavity_pa_abs,
          .liquid = net_.liquid};
}

double FlowEngine::imbalance_m3(const Contents& c) const {
  double worst = 0;
  for (std::size_t p = 0; p < net_.places.size(); ++p) {
    const int place = static_cast<int>(p);
    const Closure<double> content = closure(c, place);
    const double now = c.pressure_pa_abs[p], wall = content.wall_m3_per_pa * (now - p0_pa_abs);
    const double over = content_volume(content, now) - available_m3(net_, c, place) - wall;
    if (over < 0 && now <= net_.rig.air.cavity_pa_abs) continue;      // a cavity is no error
    const double gas = content.gas_j / (now * now) / compliance(content, now);
    worst = std::max(worst, std::abs(over) * (1 - gas + gas * std::min(1.0, now / p0_pa_abs)));
  }
  return worst;
}

void FlowEngine::freeze(const Contents& c, const std::vector<EdgeState<double>>& edges, const std::vector<double>& stiff,
                        const std::vector<double>& source) {
  for (int a = 0; a < model_.axes(); ++a) {
    model_.freeze_axis(a, c.position_m[at(a)]);
    start_position_[at(a)] = c.position_m[at(a)];
  }
  for (std::size_t p = 0; p < net_.places.size(); ++p) {
    const int place = static_cast<int>(p);
    Closure<double> content = closure(c, place);
    double volume = available_m3(net_, c, place);
    start_pressure_[p] = pressure(content, volume).p;
    gas_[p] = content.gas_j > 1e-6 * volume * start_pressure_[p];
    const double set_j = stiff[p] * (content.gas_j - held(c, place).bubbles_kg() * net_.gas_j_per_kg);
    content.gas_j -= set_j;
    volume -= set_j / start_pressure_[p];
    model_.freeze_place(place, content, volume, source[p]);
  }
  for (int e = 0; e < model_.edges(); ++e) model_.freeze_edge(e, edges[at(e)]);
  std::fill(y_.begin(), y_.end(), 0.0);
  if (c.time_s != going_at_s_) std::fill(going_.begin(), going_.end(), 0.0);
  std::copy(going_.begin(), going_.end(), y_.begin() + model_.first_flow());
  std::fill(locked_.begin(), locked_.end(), char(0));
}

/// Travel left to the stop ahead, of the state evaluated last. Without friction nothing holds an axis where it turns
/// round: the stop ahead is then the one its force drives it to, whichever way it set out.
double FlowEngine::room(const Contents& c, int axis, const double* y) const {
  const Axis& a = net_.axes[at(axis)];
  const double x = start_position_[at(axis)] + y[model_.edges() + axis];
  const bool outward = a.breakaway_n > 0 ? c.motion[at(axis)] > 0 : model_.force(axis) > 0;
  return outward ? a.travel_m - x : x - a.low_m;
}

/// Positive while the axis may go on as it does; of the state evaluated last.
double FlowEngine::gap(const Contents& c, int axis, const double* y) const {
  const Axis& a = net_.axes[at(axis)];
  const double force = model_.force(axis), start = start_position_[at(axis)];
  const int m = c.motion[at(axis)];
  if (m == 0) {
    const double push = start <= a.low_m ? force : start >= a.travel_m ? -force : std::abs(force);
    return breakaway_after_n(a.breakaway_n, a.dwell_growth, c.rest_s[at(axis)]) + release_n - push;
  }
  const double left = room(c, axis, y);
  if (left <= 0 || a.breakaway_n <= 0) return left;
  return std::min(left, (m * force - a.running_n) / a.viscous_n_s_per_m);   // metres or metres per second: the sign counts
}

const double* FlowEngine::reached(double s) {
  if (s < 1) stepper_.dense(s, still_.data(), dense_.data());
  else std::copy_n(stepper_.new_state(), dense_.size(), dense_.begin());
  for (std::size_t i = 0; i < y_.size(); ++i) dense_[i] += y_[i];
  return dense_.data();
}

double FlowEngine::gap_at(const Contents& c, int axis, double s) {
  const double* y = reached(s);
  model_.evaluate(y);
  return gap(c, axis, y);
}

/// What re-closing alone has put beyond its event is given time to come back, through further quanta if they are short:
/// else rods stop and start by the misfit of what was moved. Of the state evaluated last.
void FlowEngine::note_jumps(const Contents& c) {
  for (int a = 0; a < model_.axes(); ++a) {
    if (gap(c, a, y_.data()) > 0) jump_s_[at(a)] = 0;
    else if (ahead_[at(a)]) jump_s_[at(a)] = settle_s;
  }
}

/// Through all of the step; at a stop nothing waits.
bool FlowEngine::jumping(const Contents& c, int axis, double h, const double* y) const {
  const double x = start_position_[at(axis)] + y[model_.edges() + axis];
  const Axis& a = net_.axes[at(axis)];
  return jump_s_[at(axis)] >= h && (c.motion[at(axis)] == 0 || (x > a.low_m && x < a.travel_m));
}

/// Fractions of the last step at which axes change their mode, above 1 for those that do not; returns the earliest.
double FlowEngine::find_events(const Contents& c, double h) {
  constexpr double none = 2;
  const std::vector<double> y_end(reached(1), reached(1) + y_.size());
  model_.evaluate(y_end.data());
  double first = none;
  for (int a = 0; a < model_.axes(); ++a) {
    const double end = gap(c, a, y_end.data()), began = c.motion[at(a)] * f_[at(model_.edges() + a)];
    const bool rings = c.motion[at(a)] != 0 && room(c, a, y_end.data()) > 0 && end > -overshoot * began;
    event_s_[at(a)] = !locked_[at(a)] && end <= 0 && !rings && !jumping(c, a, h, y_end.data()) ? 1.0 : none;
  }
  for (int a = 0; a < model_.axes(); ++a) {
    double& s = event_s_[at(a)];
    if (s > 1) continue;
    double from = 0;
    if (gap_at(c, a, 0) <= 0)                              // began beyond: re-closure's jump, unless it lasts
      from = std::min(1.0, (jump_s_[at(a)] > 0 ? jump_s_[at(a)] : settle_s) / h);
    s = from > 0 && gap_at(c, a, from) <= 0 ? from : from >= 1 ? 1.0
        : first_root([&](double at_s) { return gap_at(c, a, at_s); }, from, 1.0, 1e-10);
    first = std::min(first, s);
  }
  return first;
}

void FlowEngine::close(Contents& c) const { c.pressure_pa_abs = start_pressure_; }

/// Changes the mode of an axis that has come to an event at the state in y_.
void FlowEngine::settle(Contents& c, int axis) {
  const Axis& a = net_.axes[at(axis)];
  const int m = c.motion[at(axis)];
  const double x = start_position_[at(axis)] + y_[at(model_.edges() + axis)];
  if (m == 0) {
    c.motion[at(axis)] = model_.force(axis) > 0 ? 1 : -1;
    return;
  }
  c.motion[at(axis)] = 0;
  constexpr double touch_m = 1e-9;
  if (x >= a.travel_m - touch_m) y_[at(model_.edges() + axis)] = a.travel_m - start_position_[at(axis)];
  if (x <= a.low_m + touch_m) y_[at(model_.edges() + axis)] = a.low_m - start_position_[at(axis)];
}

double FlowEngine::step_limit(double limit) const {
  double h = 1e9;
  for (int e = 0; e < model_.edges(); ++e) {
    const double rate = std::abs(f_[at(e)]), rest = limit - std::abs(y_[at(e)]);
    if (rate * h > rest) h = std::max(rest, 0.02 * limit) / rate;
  }
  return h;
}

double FlowEngine::ln_pressure_change() const {
  double most = 1;
  for (std::size_t p = 0; p < gas_.size(); ++p) {
    if (!gas_[p]) continue;
    const double ratio = model_.pressure(static_cast<int>(p)) / start_pressure_[p];
    most = std::max({most, ratio, 1 / ratio});
  }
  return std::log(most);
}

bool FlowEngine::quantum_over(double limit) const {
  if (ln_pressure_change() >= res_.ln_pressure) return true;
  for (int e = 0; e < model_.edges(); ++e)
    if (std::abs(y_[at(e)]) >= 0.9 * limit) return true;
  return false;
}

void FlowEngine::note_efforts() {
  for (int e = 0; e < model_.edges(); ++e) {
    const Edge& edge = net_.edges[at(e)];
    effort_[at(e)] = edge.kind == EdgeKind::pump ? model_.pressure(edge.to) - model_.pressure(edge.from) : 0.0;
  }
  for (int a = 0; a < model_.axes(); ++a) effort_[at(model_.edges() + a)] = model_.hand_n(a);
}

/// What the pump and hands do on the way from y_ to the state evaluated last: way times mean effort, second order.
void FlowEngine::add_step_work(const double* reached) {
  effort_before_.swap(effort_);
  note_efforts();
  for (std::size_t i = 0; i < effort_.size(); ++i)
    (i < net_.edges.size() ? energy_.pump_j : energy_.hand_j) +=
        0.5 * (effort_before_[i] + effort_[i]) * (reached[i] - y_[i]);
}

/// What volumes and positions tell by themselves: exact, whichever way and however fast they have come about.
void FlowEngine::add_quantum_work(const Contents& c, const Drive& drive) {
  for (int e = 0; e < model_.edges(); ++e)
    if (net_.edges[at(e)].kind != EdgeKind::pump) energy_.gravity_j += y_[at(e)] * model_.edge_state(e).head_pa;
  if (!drive.on_panel && drive.held_n <= 0) return;
  const std::pair carried_by{drive.on_panel, drive.held_n};
  if (start_position_ != loaded_to_ || carried_by != carried_by_) {   // else the sum goes on: a closed way cancels exactly
    load_before_j_ = energy_.load_j;
    loaded_from_j_ = model_.carried_j(start_position_.data());
    carried_by_ = carried_by;
  }
  loaded_to_ = c.position_m;
  energy_.load_j = load_before_j_ + (model_.carried_j(loaded_to_.data()) - loaded_from_j_);
}

}  // namespace evenstroke
