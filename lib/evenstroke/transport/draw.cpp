// What a place gives to an edge: Transport::draw and what it needs.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "evenstroke/air/bubble.hpp"
#include "evenstroke/air/sedimentation.hpp"
#include "evenstroke/transport/exchange.hpp"
#include "evenstroke/transport/transport.hpp"

namespace evenstroke {
namespace {

std::size_t at(int i) { return static_cast<std::size_t>(i); }

double share(double part, double whole) { return whole > 0 ? std::clamp(part / whole, 0.0, 1.0) : 0.0; }

}  // namespace

double trap_m3(const Network& n, const Contents& c, int place) {
  const Place& p = n.places[at(place)];
  if (p.kind == PlaceKind::passage) return p.trap_m3;
  if (p.branch < 0 || p.axis < 0 || p.axis >= n.branches()) return 0;   // drive and metering chambers: port on top
  const Cylinder& cyl = n.rig.branches[at(p.branch)].cylinder;
  const double x = c.position_m[at(p.axis)];
  return p.slope_m2 > 0 ? cap_trap_m3(cyl, x) : rod_trap_m3(cyl, x);
}

/// A passage past the piston opens at its face: that is the roof of a chamber, and gas comes first, or its floor.
double Transport::past_piston_m3(const Contents& c, int place) const {
  const Place& p = net_.places[at(place)];
  const bool roof = net_.rig.branches[at(p.branch)].cylinder.attitude == (p.slope_m2 > 0 ? Attitude::rod_down : Attitude::rod_up);
  return roof ? available_m3(net_, c, place) : 0.0;         // the roof is the other end
}

/// Gas of the pocket that the port draws: what reaches below its mouth, sooner while the draw pulls a funnel down.
double Transport::reach_m3(const Contents& c, int place, double flow, int edge) const {
  const std::size_t p = at(place);
  const bool top = edge >= 0 && net_.edges[at(edge)].top;
  const bool past_piston = edge >= 0 && net_.edges[at(edge)].opening >= 0;
  const double funnel = pull_through_m(net_.rig.air.pull_through, flow) * std::abs(net_.places[p].slope_m2);
  const double pocket = c.masses[p].pocket_kg * line_state(c, p).slug_m3_per_kg;
  const double reach = top ? pocket : pocket - std::max(0.0, (past_piston ? past_piston_m3(c, place) : trap_m3(net_, c, place)) - funnel);
  constexpr double crumb_m3 = 1e-12;               // round-off must not decide whether a slug begins
  return reach > crumb_m3 ? reach : 0.0;
}

Transport::Shares Transport::shares(const Contents& c, int place, int edge, double volume, double duration_s) const {
  const std::size_t p = at(place);
  const LineState s = line_state(c, p);
  const Masses& m = lot(c, p);
  const double oil = m.oil_kg * s.oil_m3_per_kg, bubbles = m.bubbles_kg() * s.gas_m3_per_kg;
  const double pocket = m.pocket_kg * s.slug_m3_per_kg;
  if (net_.edges[at(edge)].kind == EdgeKind::leak) {
    const double part = share(volume, oil);
    return {part, part, 0, 0};
  }
  if (net_.places[p].kind == PlaceKind::passage) {
    if (net_.edges[at(edge)].top) {
      const double gas = std::min(pocket, volume), part = share(volume - gas, oil + bubbles);
      return {part, part, part, share(gas, pocket)};
    }
    const double over = std::max(0.0, pocket - net_.places[p].trap_m3);   // above its high point
    const double part = share(volume, oil + bubbles + over);
    return {part, part, part, pocket > 0 ? part * over / pocket : 0.0};
  }
  double gas = std::min(reach_m3(c, place, volume / duration_s, edge), volume);
  const double liquid = std::min(volume - gas, oil + bubbles);
  gas = std::min(volume - liquid, pocket);       // the oil is used up: the rest comes as gas after all
  const double part = share(liquid, oil + bubbles);
  return {part, part, part, share(gas, pocket)};
}

SwarmMotion Transport::motion(const Contents& c, const LineEnds& l, BubbleClass k, double near, double far,
                              double duration_s) const {
  const double pressure = c.pressure_pa_abs[l.place], whole = available_m3(net_, c, static_cast<int>(l.place));
  const double d = bubble_diameter_m(diameter_m(net_.rig.air, k), pressure), bore = net_.places[l.place].bore_m;
  const double up = bubble_rise_m_per_s(d, net_.mu_pa_s, net_.rho0_kg_per_m3), across = level_share(net_.places[l.place]);
  return {near / whole, far / whole, d / bore, up * duration_s / l.length_m,
          up * across * duration_s / std::max(bore - d, 1e-3 * bore)};
}

Bundle Transport::peek(const Contents& c, int place, int edge, double volume, double duration_s) const {
  if (place == reservoir_place) return evenstroke::peek(c.reservoir, vessel_, volume, duration_s);
  if (place == container_place) return evenstroke::peek(c.container, vessel_, volume, duration_s);
  if (place == air_place) return {.pocket_kg = volume * p0_pa_abs / net_.gas_j_per_kg};
  const std::size_t p = at(place);
  if (net_.places[p].kind == PlaceKind::line) {
    const LineEnds& l = line(p);
    const LineState s = line_state(c, p);
    const bool far = static_cast<std::size_t>(edge) == l.far;
    Bundle bubbles;
    for (const BubbleClass k : {coarse, fine}) {
      const Swarm& swarm = c.line[p].bubbles[k];
      if (swarm.kg <= 0) continue;
      const double through = far ? volume : -volume;
      const Passed out = evenstroke::peek(swarm, tubes_(p, k), motion(c, l, k, through, through, duration_s));
      (k == coarse ? bubbles.coarse_kg : bubbles.fine_kg) = far ? out.far_kg : out.near_kg;
    }
    const double fits = share(volume, bubbles.gas_kg() * s.gas_m3_per_kg);   // a pile gives no more than flows
    bubbles.coarse_kg *= fits;
    bubbles.fine_kg *= fits;
    Queue q = c.line[p].queue;
    Bundle b = pop(q, far ? End::far : End::near, std::max(0.0, volume - bubbles.gas_kg() * s.gas_m3_per_kg), s);
    b.coarse_kg = bubbles.coarse_kg;
    b.fine_kg = bubbles.fine_kg;
    return b;
  }
  const Shares s = shares(c, place, edge, volume, duration_s);
  const Masses& m = lot(c, p);
  return {m.oil_kg * s.liquid, m.pocket_kg * s.pocket, m.coarse_kg * s.bubbles, m.fine_kg * s.bubbles,
          m.dissolved_kg * s.dissolved};
}

/// Of what is common to all branches each draws as if it were the first, so that equal ones draw the same to the last bit.
const Masses& Transport::lot(const Contents& c, std::size_t place) const {
  return begun_[place] ? lot_[place] : c.masses[place];
}

Bundle Transport::draw(Contents& c, int place, int edge, double volume, double duration_s) {
  if (place == reservoir_place) return evenstroke::draw(c.reservoir, vessel_, volume, duration_s, c.ledger, &reservoir_lot_);
  if (place == container_place) return evenstroke::draw(c.container, vessel_, volume, duration_s, c.ledger, &container_lot_);
  if (place == air_place) {
    const Bundle air = peek(c, place, edge, volume, duration_s);
    c.ledger.air_ingested_kg += air.pocket_kg;
    return air;
  }
  const std::size_t p = at(place);
  if (net_.places[p].kind == PlaceKind::line) return draw_line(c, p, edge, volume);
  Masses& m = c.masses[p];
  if (net_.places[p].branch < 0 && !begun_[p]) {
    lot_[p] = m;
    begun_[p] = 1;
  }
  Bundle b = peek(c, place, edge, volume, duration_s);
  for (double Masses::*kg : {&Masses::oil_kg, &Masses::pocket_kg, &Masses::coarse_kg, &Masses::fine_kg, &Masses::dissolved_kg}) {
    b.*kg = std::min(b.*kg, m.*kg);
    m.*kg -= b.*kg;
  }
  return b;
}

Bundle Transport::draw_line(Contents& c, std::size_t p, int edge, double volume) {
  const LineEnds& l = line(p);
  const LineState s = line_state(c, p);
  const bool far = static_cast<std::size_t>(edge) == l.far;
  const double coarse_kg = far ? l.out[coarse].far_kg : l.out[coarse].near_kg;
  const double fine_kg = far ? l.out[fine].far_kg : l.out[fine].near_kg;
  const double rest = volume - (coarse_kg + fine_kg) * s.gas_m3_per_kg;
  Bundle out = pop(c.line[p].queue, far ? End::far : End::near, std::max(0.0, rest), s);
  out.coarse_kg = coarse_kg;
  out.fine_kg = fine_kg;
  return out;
}

/// A small passage lets many times its volume through in one quantum. If it gave just what flow has asked, every error
/// in that would stay behind in it and be a large one in pressure: it keeps what fills it, and its takers get the rest.
double Transport::passage_scale(const Contents& c, int place, const std::vector<double>& volume) const {
  const std::size_t p = at(place);
  const double has = volume_at(c, place, c.masses[p]);
  const double keeps = available_m3(net_, c, place) + net_.places[p].wall_m3_per_pa * (c.pressure_pa_abs[p] - p0_pa_abs);
  double asked = 0;
  for (std::size_t e = 0; e < net_.edges.size(); ++e)
    if ((volume[e] > 0 ? net_.edges[e].from : net_.edges[e].to) == place) asked += std::abs(volume[e]);
  return asked > 0 ? std::max(has - keeps, 0.0) / asked : 1.0;
}

void Transport::tear(Bundle& b, const Edge& e, double flow, double pressure) const {
  double torn = 0;
  const bool gears = e.kind == EdgeKind::pump || e.kind == EdgeKind::section;
  if (gears) torn = net_.rig.air.shredding;
  if ((e.kind == EdgeKind::orifice || e.kind == EdgeKind::released) && b.coarse_kg > 0)
    torn = torn_share(net_, e.area_m2, flow, pressure);
  const double bubbles = torn * b.coarse_kg, slugs = gears ? torn * b.pocket_kg : 0.0;
  b.coarse_kg -= bubbles;
  b.pocket_kg -= slugs;
  b.fine_kg += bubbles + slugs;
}

}  // namespace evenstroke
