#include "evenstroke/transport/transport.hpp"

#include <algorithm>
#include <cmath>

namespace evenstroke {
namespace {

std::size_t at(int i) { return static_cast<std::size_t>(i); }

double share(double part, double whole) { return whole > 0 ? std::clamp(part / whole, 0.0, 1.0) : 0.0; }

}  // namespace

double trap_m3(const Network& n, const Contents& c, int place) {
  const Place& p = n.places[at(place)];
  if (p.branch < 0 || p.axis < 0 || p.axis >= n.branches()) return 0;   // drive and metering chambers: port on top
  const Cylinder& cyl = n.rig.branches[at(p.branch)].cylinder;
  const double x = c.position_m[at(p.axis)];
  return p.slope_m2 > 0 ? cap_trap_m3(cyl, x) : rod_trap_m3(cyl, x);
}

Transport::Transport(const Network& n) : net_(n), waiting_(n.places.size()), done_(n.edges.size()),
      scale_(n.places.size()) {
  for (std::size_t p = 0; p < n.places.size(); ++p) {
    if (n.places[p].kind != PlaceKind::line) continue;
    LineEnds l{p, 0, 0, false};
    for (std::size_t e = 0; e < n.edges.size(); ++e) {
      if (n.edges[e].to == static_cast<int>(p)) l.near = e;
      if (n.edges[e].from == static_cast<int>(p)) l.far = e;
    }
    lines_.push_back(l);
  }
}

LineState Transport::line_state(const Contents& c, std::size_t p) const {
  const double pressure = c.pressure_pa_abs[p];
  return {relative_volume(net_.liquid, pressure) / net_.rho0_kg_per_m3, net_.gas_j_per_kg / pressure,
          net_.places[p].bore_m};
}

Bundle Transport::draw_reservoir(Contents& c, double volume) const {
  const double air = air_share(net_.rig.reservoir, c.reservoir_oil_kg / net_.rho0_kg_per_m3);
  Bundle b{(1 - air) * volume * net_.rho0_kg_per_m3, 0, air * volume * p0_pa_abs / net_.gas_j_per_kg};
  b.oil_kg = std::min(b.oil_kg, c.reservoir_oil_kg);
  c.reservoir_oil_kg -= b.oil_kg;
  c.ledger.air_ingested_kg += b.dispersed_kg;
  return b;
}

Transport::Shares Transport::shares(const Contents& c, int place, int edge, double volume) const {
  const std::size_t p = at(place);
  const LineState s = line_state(c, p);
  const Masses& m = c.masses[p];
  const double oil = m.oil_kg * s.oil_m3_per_kg, fine = m.dispersed_kg * s.gas_m3_per_kg, pocket = m.pocket_kg * s.gas_m3_per_kg;
  if (net_.edges[at(edge)].kind == EdgeKind::leak) return {share(volume, oil), 0, 0};
  if (net_.places[p].kind == PlaceKind::passage) {
    const double part = share(volume, oil + fine + pocket);
    return {part, part, part};
  }
  double gas = std::clamp(pocket - trap_m3(net_, c, place), 0.0, volume);
  const double liquid = std::min(volume - gas, oil + fine);
  gas = std::min(volume - liquid, pocket);       // the oil is used up: the rest comes as gas after all
  return {share(liquid, oil + fine), share(liquid, oil + fine), share(gas, pocket)};
}

Bundle Transport::peek(const Contents& c, int place, int edge, double volume) const {
  const std::size_t p = at(place);
  if (net_.places[p].kind == PlaceKind::line) {
    Queue q = c.queue[p];
    return pop(q, net_.edges[at(edge)].from == place ? End::far : End::near, volume, line_state(c, p));
  }
  const Shares s = shares(c, place, edge, volume);
  const Masses& m = c.masses[p];
  return {m.oil_kg * s.oil, m.pocket_kg * s.pocket, m.dispersed_kg * s.dispersed};
}

Bundle Transport::draw(Contents& c, int place, int edge, double volume) {
  const std::size_t p = at(place);
  if (net_.places[p].kind == PlaceKind::line)
    return pop(c.queue[p], net_.edges[at(edge)].from == place ? End::far : End::near, volume, line_state(c, p));
  const Bundle b = peek(c, place, edge, volume);
  Masses& m = c.masses[p];
  m.oil_kg -= b.oil_kg;
  m.pocket_kg -= b.pocket_kg;
  m.dispersed_kg -= b.dispersed_kg;
  return b;
}

void Transport::arrival_ratios(const Contents& c, const std::vector<double>& volume, std::vector<double>& ratio) const {
  const auto room = [&](const Bundle& b, int place) {
    const double p = place < 0 ? p0_pa_abs : c.pressure_pa_abs[at(place)];
    return b.oil_kg * relative_volume(net_.liquid, p) / net_.rho0_kg_per_m3 + b.gas_kg() * net_.gas_j_per_kg / p;
  };
  for (std::size_t e = 0; e < net_.edges.size(); ++e) {
    const int from = net_.edges[e].from, to = net_.edges[e].to, donor = volume[e] < 0 ? to : from;
    Bundle b{1, 0, 0};                                     // oil, unless something else is known to come
    if (donor >= 0 && volume[e] != 0) b = peek(c, donor, static_cast<int>(e), std::abs(volume[e]));
    const double at_from = room(b, from), at_to = room(b, to);
    ratio[e] = at_from > 0 && at_to > 0 ? at_to / at_from : 1.0;
  }
}

/// A small passage lets many times its volume through in one quantum. If it gave just what flow has asked, every error
/// in that would stay behind in it and be a large one in pressure: it keeps what fills it, and its takers get the rest.
double Transport::passage_scale(const Contents& c, int place, const std::vector<double>& volume) const {
  const std::size_t p = at(place);
  const Masses& m = c.masses[p];
  const LineState s = line_state(c, p);
  const double has = m.oil_kg * s.oil_m3_per_kg + m.gas_kg() * s.gas_m3_per_kg;
  const double keeps = net_.places[p].volume_m3 + net_.places[p].wall_m3_per_pa * (c.pressure_pa_abs[p] - p0_pa_abs);
  double asked = 0;
  for (std::size_t e = 0; e < net_.edges.size(); ++e)
    if ((volume[e] > 0 ? net_.edges[e].from : net_.edges[e].to) == place) asked += std::abs(volume[e]);
  return asked > 0 ? std::max(has - keeps, 0.0) / asked : 1.0;
}

/// Bundles arrive in the order they were drawn: while the pocket reaches the port, its gas goes before the oil.
void Transport::pass(Contents& c, int from, int to, int edge, double volume) {
  const std::size_t p = at(from);
  const bool gas_first = net_.places[p].kind == PlaceKind::chamber &&
                         c.masses[p].pocket_kg * line_state(c, p).gas_m3_per_kg > trap_m3(net_, c, from);
  const Bundle b = draw(c, from, edge, volume);
  if (gas_first) give(c, to, edge, {0, b.pocket_kg, 0});
  give(c, to, edge, {b.oil_kg, gas_first ? 0.0 : b.pocket_kg, b.dispersed_kg});
}

/// Once per line, between what it gets and what it gives: a slug runs from the moment it has come in until it leaves.
void Transport::slide(Contents& c, int line, const std::vector<double>& volume, double duration_s) {
  for (LineEnds& l : lines_) {
    if (l.place != at(line) || l.slid) continue;
    overtake(c.queue[l.place], volume[l.near], volume[l.far], duration_s, line_state(c, l.place), net_.rig.air,
             net_.mu_pa_s);
    l.slid = true;
  }
}

void Transport::give(Contents& c, int place, int edge, const Bundle& b) {
  if (place == reservoir_place) {
    c.ledger.air_vented_kg += b.gas_kg();
    c.reservoir_oil_kg += b.oil_kg;
    const double over = c.reservoir_oil_kg - net_.rig.reservoir.capacity_m3 * net_.rho0_kg_per_m3;
    if (over > 0) c.reservoir_oil_kg -= over, c.ledger.oil_spilled_kg += over;
    return;
  }
  const std::size_t p = at(place);
  if (net_.places[p].kind == PlaceKind::line) {
    merged_kg_ += push(c.queue[p], net_.edges[at(edge)].to == place ? End::near : End::far, b, line_state(c, p));
    return;
  }
  Masses& m = c.masses[p];
  m.oil_kg += b.oil_kg;
  const bool mixes = net_.places[p].kind == PlaceKind::passage;
  (mixes ? m.dispersed_kg : m.pocket_kg) += b.pocket_kg;
  m.dispersed_kg += b.dispersed_kg;
}

void Transport::move(Contents& c, const std::vector<double>& volume, double duration_s) {
  const auto donor = [&](std::size_t e) { return volume[e] > 0 ? net_.edges[e].from : net_.edges[e].to; };
  const auto taker = [&](std::size_t e) { return volume[e] > 0 ? net_.edges[e].to : net_.edges[e].from; };
  std::fill(waiting_.begin(), waiting_.end(), 0);
  std::fill(scale_.begin(), scale_.end(), -1.0);
  for (LineEnds& l : lines_) l.slid = false;
  std::size_t left = 0;
  for (std::size_t e = 0; e < net_.edges.size(); ++e) {
    done_[e] = volume[e] == 0;
    if (done_[e]) continue;
    ++left;
    if (taker(e) >= 0) ++waiting_[at(taker(e))];
  }
  bool forced = false;            // passages and lines wait for what they get; a ring is cut at last
  while (left > 0) {
    const std::size_t before = left;
    for (std::size_t e = 0; e < net_.edges.size(); ++e) {
      if (done_[e]) continue;
      const int from = donor(e), to = taker(e), edge = static_cast<int>(e);
      const PlaceKind kind = from < 0 ? PlaceKind::chamber : net_.places[at(from)].kind;
      if (kind != PlaceKind::chamber && waiting_[at(from)] > 0 && !forced) continue;
      const bool passage = kind == PlaceKind::passage;
      if (kind == PlaceKind::line) slide(c, from, volume, duration_s);
      const double asked = std::abs(volume[e]);
      if (passage && scale_[at(from)] < 0)                 // unknown while inflows are still to come
        scale_[at(from)] = waiting_[at(from)] > 0 ? 1.0 : passage_scale(c, from, volume);
      if (from < 0) give(c, to, edge, draw_reservoir(c, asked));
      else pass(c, from, to, edge, passage ? asked * scale_[at(from)] : asked);
      done_[e] = 1;
      --left;
      if (to >= 0) --waiting_[at(to)];
    }
    forced = left == before;
  }
  for (const LineEnds& l : lines_) slide(c, static_cast<int>(l.place), volume, duration_s);
}

}  // namespace evenstroke
