#include "evenstroke/transport/transport.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "evenstroke/air/bubble.hpp"
#include "evenstroke/air/sedimentation.hpp"
#include "evenstroke/air/slug.hpp"
#include "evenstroke/transport/exchange.hpp"
#include "evenstroke/transport/parcels.hpp"

namespace evenstroke {
namespace {

std::size_t at(int i) { return static_cast<std::size_t>(i); }

double share(double part, double whole) { return whole > 0 ? std::clamp(part / whole, 0.0, 1.0) : 0.0; }

double diameter_m(const AirInputs& a, BubbleClass k) { return k == coarse ? a.coarse_m : a.fine_m; }

}  // namespace

double trap_m3(const Network& n, const Contents& c, int place) {
  const Place& p = n.places[at(place)];
  if (p.kind == PlaceKind::passage) return p.trap_m3;
  if (p.branch < 0 || p.axis < 0 || p.axis >= n.branches()) return 0;   // drive and metering chambers: port on top
  const Cylinder& cyl = n.rig.branches[at(p.branch)].cylinder;
  const double x = c.position_m[at(p.axis)];
  return p.slope_m2 > 0 ? cap_trap_m3(cyl, x) : rod_trap_m3(cyl, x);
}

Transport::Transport(const Network& n, int streamtubes)
    : net_(n), tubes_(make_streamtubes(streamtubes)), vessel_(vessel(n)), waiting_(n.places.size()), done_(n.edges.size()),
      scale_(n.places.size()), waits_kg_(n.places.size()),
      lot_(n.places.size()), begun_(n.places.size()), mouths_(n.places.size()) {
  for (std::size_t p = 0; p < n.places.size(); ++p) {
    if (n.places[p].kind != PlaceKind::line) continue;
    LineEnds l{};
    l.place = p;
    l.near = l.far = n.edges.size();                       // none: that end is capped
    l.length_m = n.places[p].volume_m3 / (std::numbers::pi / 4 * n.places[p].bore_m * n.places[p].bore_m);
    for (std::size_t e = 0; e < n.edges.size(); ++e) {
      if (n.edges[e].kind != EdgeKind::line) continue;
      if (n.edges[e].to == static_cast<int>(p)) l.near = e;
      if (n.edges[e].from == static_cast<int>(p)) l.far = e;
    }
    for (const std::size_t e : {l.near, l.far})
      for (const int end : {e < n.edges.size() ? n.edges[e].from : -1, e < n.edges.size() ? n.edges[e].to : -1})
        if (end >= 0) mouths_[at(end)] += 1;
    lines_.push_back(l);
  }
}

void Transport::prepare(Contents& c) const {
  for (const LineEnds& l : lines_)
    for (Swarm& s : c.line[l.place].bubbles)
      if (!s.count.empty() && s.count.size() != tubes_.share.size()) regrid(s, tubes_);
}

Transport::LineEnds& Transport::line(std::size_t place) {
  return *std::find_if(lines_.begin(), lines_.end(), [&](const LineEnds& l) { return l.place == place; });
}

LineState Transport::line_state(const Contents& c, std::size_t p) const {
  const double pressure = c.pressure_pa_abs[p], gas = net_.gas_j_per_kg / pressure;
  return {relative_volume(net_.liquid, pressure) / net_.rho0_kg_per_m3, gas,
          gas * c.pocket_k[p] / net_.rig.oil.temperature_k, net_.places[p].bore_m};
}

/// Room a bundle takes in a place, or at p0 outside.
double Transport::volume_at(const Contents& c, int place, const Bundle& b) const {
  if (place < 0) return b.oil_kg / net_.rho0_kg_per_m3 + b.gas_kg() * net_.gas_j_per_kg / p0_pa_abs;
  const LineState s = line_state(c, at(place));
  return b.oil_kg * s.oil_m3_per_kg + b.bubbles_kg() * s.gas_m3_per_kg + b.pocket_kg * s.slug_m3_per_kg;
}

/// Gas of the pocket that the port draws: what reaches below its mouth, sooner while the draw pulls a funnel down.
double Transport::reach_m3(const Contents& c, int place, double flow) const {
  const std::size_t p = at(place);
  const double funnel = pull_through_m(net_.rig.air.pull_through, flow) * std::abs(net_.places[p].slope_m2);
  const double pocket = c.masses[p].pocket_kg * line_state(c, p).slug_m3_per_kg;
  const double reach = pocket - std::max(0.0, trap_m3(net_, c, place) - funnel);
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
    const double over = std::max(0.0, pocket - net_.places[p].trap_m3);   // above its high point
    const double part = share(volume, oil + bubbles + over);
    return {part, part, part, pocket > 0 ? part * over / pocket : 0.0};
  }
  double gas = std::min(reach_m3(c, place, volume / duration_s), volume);
  const double liquid = std::min(volume - gas, oil + bubbles);
  gas = std::min(volume - liquid, pocket);       // the oil is used up: the rest comes as gas after all
  const double part = share(liquid, oil + bubbles);
  return {part, part, part, share(gas, pocket)};
}

SwarmMotion Transport::motion(const Contents& c, const LineEnds& l, BubbleClass k, double near, double far,
                              double duration_s) const {
  const double pressure = c.pressure_pa_abs[l.place], whole = available_m3(net_, c, static_cast<int>(l.place));
  const double d = bubble_diameter_m(diameter_m(net_.rig.air, k), pressure), bore = net_.places[l.place].bore_m;
  const double up = bubble_rise_m_per_s(d, net_.mu_pa_s, net_.rho0_kg_per_m3), sine = net_.places[l.place].profile.sin_incline(0.5, l.length_m);
  const double across = std::sqrt(std::max(0.0, 1 - sine * sine));
  return {near / whole, far / whole, d / bore, up * duration_s / l.length_m,
          -std::expm1(-4 * up * across * duration_s / (std::numbers::pi * bore))};
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
      const Passed out = evenstroke::peek(swarm, tubes_, motion(c, l, k, through, through, duration_s));
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
  if (place == reservoir_place) return evenstroke::draw(c.reservoir, vessel_, volume, duration_s, c.ledger);
  if (place == container_place) return evenstroke::draw(c.container, vessel_, volume, duration_s, c.ledger);
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
  const double keeps = net_.places[p].volume_m3 + net_.places[p].wall_m3_per_pa * (c.pressure_pa_abs[p] - p0_pa_abs);
  double asked = 0;
  for (std::size_t e = 0; e < net_.edges.size(); ++e)
    if ((volume[e] > 0 ? net_.edges[e].from : net_.edges[e].to) == place) asked += std::abs(volume[e]);
  return asked > 0 ? std::max(has - keeps, 0.0) / asked : 1.0;
}

void Transport::tear(Bundle& b, const Edge& e, double flow, double pressure) const {
  double torn = 0;
  if (e.kind == EdgeKind::pump) torn = net_.rig.air.shredding;
  if (e.kind == EdgeKind::orifice && b.coarse_kg > 0) torn = torn_share(net_, e.area_m2, flow, pressure);
  const double bubbles = torn * b.coarse_kg, slugs = e.kind == EdgeKind::pump ? torn * b.pocket_kg : 0.0;
  b.coarse_kg -= bubbles;
  b.pocket_kg -= slugs;
  b.fine_kg += bubbles + slugs;
}

/// Out of a chamber comes first the gas that reaches the port, then oil with its bubbles, then, once the oil is used up, gas
/// again. Gas that reaches the port enters a line as a slug where it stood there as the quantum began, is more than half of what
/// comes, or follows a slug that is still coming in; what only trickles down to it in the quantum's course (a rising bubble, a
/// roof that sinks) comes in as bubbles. So the length of a quantum decides no more than where one portion ends.
void Transport::pass(Contents& c, int from, int to, int edge, double volume, double duration_s) {
  const bool chamber = from >= 0 && net_.places[at(from)].kind == PlaceKind::chamber;
  const double reach = chamber ? reach_m3(c, from, volume / duration_s) : 0.0;
  Bundle b = draw(c, from, edge, volume, duration_s);
  tear(b, net_.edges[at(edge)], volume / duration_s, from < 0 ? p0_pa_abs : c.pressure_pa_abs[at(from)]);
  const bool used_up = chamber && c.masses[at(from)].oil_kg <= 1e-9 * b.oil_kg;
  if (reach <= 0 || b.pocket_kg <= 0 || used_up) return give(c, to, edge, b, duration_s);
  const Bundle gas{.pocket_kg = b.pocket_kg};
  b.pocket_kg = 0;
  if (to >= 0 && net_.places[at(to)].kind == PlaceKind::line && !as_slug(c, from, to, edge) &&
      2 * std::min(reach, volume) < volume) {
    b.coarse_kg += gas.pocket_kg;
  } else {
    give(c, to, edge, gas, duration_s);
  }
  give(c, to, edge, b, duration_s);
}

bool Transport::as_slug(const Contents& c, int chamber, int line_place, int edge) const {
  const Queue& q = c.line[at(line_place)].queue;
  const bool near = static_cast<std::size_t>(edge) == line(at(line_place)).near;
  const bool follows = q.count > 0 && q[near ? 0 : q.count - 1].slug;
  return follows || is_slug(waits_kg_[at(chamber)] * net_.gas_j_per_kg / p0_pa_abs, net_.places[at(line_place)].bore_m);
}

void Transport::begin(const Contents& c) {
  for (std::size_t p = 0; p < net_.places.size(); ++p) {
    waits_kg_[p] = 0;
    if (net_.places[p].kind == PlaceKind::chamber && c.masses[p].pocket_kg > 0)
      waits_kg_[p] = reach_m3(c, static_cast<int>(p), 0) / line_state(c, p).slug_m3_per_kg;
  }
}

/// Once per line, between what it gets and what it gives: a slug runs from the moment it has come in until it leaves, and
/// bubbles that leave in this quantum are told from those that stay.
void Transport::slide(Contents& c, int place, const std::vector<double>& volume, double duration_s) {
  LineEnds& l = line(at(place));
  if (l.slid) return;
  l.slid = true;
  LineContents& contents = c.line[l.place];
  const Place& where = net_.places[l.place];
  const LineState s = line_state(c, l.place);
  const double near_out = l.near < volume.size() && volume[l.near] < 0 ? -volume[l.near] : 0.0;
  const double far_out = l.far < volume.size() && volume[l.far] > 0 ? volume[l.far] : 0.0;
  const double near = l.in_near_m3 - near_out, far = far_out - l.in_far_m3;
  overtake(contents.queue, near, far, duration_s, s, net_.rig.air, net_.mu_pa_s);
  rise(contents.queue, where.profile, l.length_m, duration_s, s, net_.rig.air, net_.mu_pa_s, net_.rho0_kg_per_m3);
  for (const BubbleClass k : {coarse, fine})
    l.out[k] = evenstroke::move(contents.bubbles[k], tubes_, motion(c, l, k, near, far, duration_s), where.profile, l.length_m,
                                l.in_near_kg[k], l.in_far_kg[k], &merged_kg_);
  // A pile of bubbles at an end gives no more than has flowed out there.
  const auto hold = [&](double Passed::*kg, double out_m3, double end) {
    const double all_kg = l.out[coarse].*kg + l.out[fine].*kg, room_kg = out_m3 / s.gas_m3_per_kg;
    if (all_kg <= room_kg) return;
    for (const BubbleClass k : {coarse, fine}) {
      const double goes = l.out[k].*kg * (room_kg / all_kg);
      fill(contents.bubbles[k], tubes_, end, end, l.out[k].*kg - goes);
      l.out[k].*kg = goes;
    }
  };
  hold(&Passed::near_kg, near_out, 0);
  hold(&Passed::far_kg, far_out, 1);
}

/// Bubbles with less oil than keeps even a froth together are no bubbles.
Bundle Transport::collapsed(Bundle b, const LineState& s) {
  constexpr double froth = 3;                              // gas over oil: a void of three quarters
  if (b.bubbles_kg() * s.gas_m3_per_kg <= froth * b.oil_kg * s.oil_m3_per_kg) return b;
  b.pocket_kg += b.bubbles_kg();
  b.coarse_kg = b.fine_kg = 0;
  return b;
}

void Transport::give(Contents& c, int place, int edge, const Bundle& given, double duration_s) {
  const bool to_line = place >= 0 && net_.places[at(place)].kind == PlaceKind::line;
  const Bundle b = to_line ? collapsed(given, line_state(c, at(place))) : given;
  if (place == reservoir_place) return receive(c.reservoir, vessel_, b, duration_s, c.ledger);
  if (place == container_place) return receive(c.container, vessel_, b, duration_s, c.ledger);
  if (place == air_place) {
    c.ledger.oil_spilled_kg += b.oil_kg;
    c.ledger.air_vented_kg += b.air_kg();
    return;
  }
  const std::size_t p = at(place);
  if (net_.places[p].kind == PlaceKind::line) {
    LineEnds& l = line(p);
    const bool near = static_cast<std::size_t>(edge) == l.near;
    merged_kg_ += push(c.line[p].queue, near ? End::near : End::far, b, line_state(c, p));
    (near ? l.in_near_m3 : l.in_far_m3) += volume_at(c, place, b);
    auto& in = near ? l.in_near_kg : l.in_far_kg;
    in[coarse] += b.coarse_kg;
    in[fine] += b.fine_kg;
    return;
  }
  Masses& m = c.masses[p];
  const bool breaks = net_.places[p].kind == PlaceKind::passage;
  m.oil_kg += b.oil_kg;
  (breaks ? m.coarse_kg : m.pocket_kg) += b.pocket_kg;
  m.coarse_kg += b.coarse_kg;
  m.fine_kg += b.fine_kg;
  m.dissolved_kg += b.dissolved_kg;
}

/// Gas and oil change places through a joint that nothing else moves: a slug rises out of the line into what stands above
/// it, or a pocket that reaches its port rises into the line; an end open to the air drains (air/slug.hpp).
void Transport::rise_through(Contents& c, LineEnds& l, End end, const std::vector<double>& volume_m3, double duration_s) {
  const std::size_t e = end == End::near ? l.near : l.far;
  if (e >= net_.edges.size()) return;
  const int other = end == End::near ? net_.edges[e].from : net_.edges[e].to;
  const Place& where = net_.places[l.place];
  const double sine = where.profile.sin_incline(end == End::near ? 0.0 : 1.0, l.length_m);
  const double outward = end == End::far ? sine : -sine;                  // rise of the run towards this end
  const double area = std::numbers::pi / 4 * where.bore_m * where.bore_m, sigma = net_.rig.air.surface_tension_n_per_m;
  const LineState s = line_state(c, l.place);
  Queue& q = c.line[l.place].queue;
  if (q.count == 0) return;
  if (other == air_place) {
    const double speed = open_end_exchange_m_per_s(where.bore_m, net_.mu_pa_s, net_.rho0_kg_per_m3, sigma, -outward);
    const double runs_m3 = end == End::far ? volume_m3[e] : -volume_m3[e];   // what runs out keeps the air out
    const Bundle out = drain(q, end, area * speed * duration_s - std::max(0.0, runs_m3), p0_pa_abs / net_.gas_j_per_kg, s);
    c.ledger.oil_spilled_kg += out.oil_kg;
    c.ledger.air_vented_kg += out.dissolved_kg;
    c.ledger.air_ingested_kg += out.pocket_kg;
    return;
  }
  const double speed = net_.rig.air.slug_rise *
                       slug_rise_inclined_m_per_s(where.bore_m, net_.mu_pa_s, net_.rho0_kg_per_m3, sigma, std::abs(outward));
  const double volume = area * speed * duration_s;
  if (volume <= 0) return;
  const bool slug_at_mouth = q[end == End::near ? 0 : q.count - 1].slug;
  if (outward > 0 && slug_at_mouth && other != air_place) {
    Parcel& slug = q[end == End::near ? 0 : q.count - 1];
    const Bundle oil = oil_for(c, other, std::min(volume, slug.gas_kg * s.slug_m3_per_kg));
    const double gas_kg = std::min(slug.gas_kg, oil.oil_kg * s.oil_m3_per_kg / s.slug_m3_per_kg);   // no oil, no room made
    slug.gas_kg -= gas_kg;
    give(c, other, static_cast<int>(e), {.pocket_kg = gas_kg}, duration_s);
    merged_kg_ += push(q, end, oil, s);
  } else if (outward < 0 && other >= 0 && net_.places[at(other)].kind == PlaceKind::chamber && !slug_at_mouth &&
             reach_m3(c, other, 0) > 0) {
    Masses& m = c.masses[at(other)];
    const double gas_m3_per_kg = line_state(c, at(other)).slug_m3_per_kg;
    const double gas_kg = std::min(reach_m3(c, other, 0), volume) / gas_m3_per_kg;
    const Bundle oil = pop(q, end, gas_kg * gas_m3_per_kg, s);
    m.pocket_kg -= gas_kg;
    give(c, other, static_cast<int>(e), oil, duration_s);
    merged_kg_ += push(q, end, {.pocket_kg = gas_kg}, s);
  }
}

/// Oil without bubbles that comes down for gas going up; of what is common to several lines each gets no more than its part.
Bundle Transport::oil_for(Contents& c, int place, double volume) {
  if (place < 0) {
    Tank& t = place == container_place ? c.container : c.reservoir;
    const double part = share(volume, t.oil_kg / net_.rho0_kg_per_m3);
    const Bundle b{.oil_kg = part * t.oil_kg, .dissolved_kg = part * t.dissolved_kg};
    t.oil_kg -= b.oil_kg;
    t.dissolved_kg -= b.dissolved_kg;
    return b;
  }
  const std::size_t p = at(place);
  const Masses& whole = lot(c, p);
  const double part = std::min(share(volume, whole.oil_kg * line_state(c, p).oil_m3_per_kg), 1.0 / mouths_[p]);
  Masses& m = c.masses[p];
  const Bundle b{.oil_kg = std::min(m.oil_kg, part * whole.oil_kg), .dissolved_kg = std::min(m.dissolved_kg, part * whole.dissolved_kg)};
  m.oil_kg -= b.oil_kg;
  m.dissolved_kg -= b.dissolved_kg;
  return b;
}

/// A slug with oil on both sides of it that is no slug any more.
void Transport::crumble(Contents& c, const LineEnds& l) {
  LineContents& line = c.line[l.place];
  const LineState s = line_state(c, l.place);
  const double bore = net_.places[l.place].bore_m, p0_m3_per_kg = net_.gas_j_per_kg / p0_pa_abs;
  double whole = 0, at_m3 = 0, oil_kg = 0;
  for (int i = 0; i < line.queue.count; ++i) {
    whole += volume_m3(line.queue[i], s);
    oil_kg += line.queue[i].oil_kg;
  }
  if (oil_kg * s.oil_m3_per_kg < 1e-3 * net_.places[l.place].volume_m3) {   // no oil, no bubbles
    for (Swarm& swarm : line.bubbles) {
      const double kg = keep(swarm, [](double, double) { return 0.0; });
      if (kg > 0) merged_kg_ += push(line.queue, End::far, {.pocket_kg = kg}, s);
    }
    return;
  }
  for (int i = 0; i < line.queue.count; ++i) {
    Parcel& p = line.queue[i];
    const double from = at_m3;
    at_m3 += volume_m3(p, s);
    if (!p.slug || is_slug(p.gas_kg * p0_m3_per_kg, bore)) continue;
    const int last = line.queue.count - 1;                 // one that has not quite come in may grow yet
    if (i == 0 || i == last || (i == 1 && bridges(line.queue[0], s)) || (i == last - 1 && bridges(line.queue[last], s))) continue;
    fill(line.bubbles[coarse], tubes_, from / whole, at_m3 / whole, p.gas_kg);
    p.gas_kg = 0;
    p.slug = false;
  }
}

void Transport::move(Contents& c, const std::vector<double>& volume, double duration_s) {
  const auto donor = [&](std::size_t e) { return volume[e] > 0 ? net_.edges[e].from : net_.edges[e].to; };
  const auto taker = [&](std::size_t e) { return volume[e] > 0 ? net_.edges[e].to : net_.edges[e].from; };
  std::fill(waiting_.begin(), waiting_.end(), 0);
  std::fill(scale_.begin(), scale_.end(), -1.0);
  std::fill(begun_.begin(), begun_.end(), char(0));
  for (LineEnds& l : lines_) {
    l.slid = false;
    l.in_near_m3 = l.in_far_m3 = 0;
    l.in_near_kg = l.in_far_kg = {};
    l.out = {};
  }
  std::size_t left = 0;
  double through_m3 = 0, dipped_m3 = 0;                   // reservoir, container
  for (std::size_t e = 0; e < net_.edges.size(); ++e) {
    done_[e] = volume[e] == 0;
    if (done_[e]) continue;
    ++left;
    for (const int end : {net_.edges[e].from, net_.edges[e].to}) {
      if (end == reservoir_place) through_m3 += std::abs(volume[e]);
      if (end == container_place) dipped_m3 += std::abs(volume[e]);
    }
    if (taker(e) >= 0) ++waiting_[at(taker(e))];
  }
  for (std::size_t e = 0; e < net_.edges.size(); ++e) {   // all draw the same from a tank, before it gets anything
    if (done_[e] || donor(e) >= 0) continue;
    pass(c, donor(e), taker(e), static_cast<int>(e), std::abs(volume[e]), duration_s);
    done_[e] = 1;
    --left;
    if (taker(e) >= 0) --waiting_[at(taker(e))];
  }
  bool forced = false;            // passages and lines wait for what they get; a ring is cut at last
  while (left > 0) {
    const std::size_t before = left;
    for (std::size_t e = 0; e < net_.edges.size(); ++e) {
      if (done_[e]) continue;
      const int from = donor(e), to = taker(e), edge = static_cast<int>(e);
      const PlaceKind kind = net_.places[at(from)].kind;
      if (kind != PlaceKind::chamber && waiting_[at(from)] > 0 && !forced) continue;
      const bool passage = kind == PlaceKind::passage;
      if (kind == PlaceKind::line) slide(c, from, volume, duration_s);
      const double asked = std::abs(volume[e]);
      if (passage && scale_[at(from)] < 0)                 // unknown while inflows are still to come
        scale_[at(from)] = waiting_[at(from)] > 0 ? 1.0 : passage_scale(c, from, volume);
      pass(c, from, to, edge, passage ? asked * scale_[at(from)] : asked, duration_s);
      done_[e] = 1;
      --left;
      if (to >= 0) --waiting_[at(to)];
    }
    forced = left == before;
  }
  for (std::size_t p = 0; p < net_.places.size(); ++p) {
    begun_[p] = net_.places[p].branch < 0;
    if (begun_[p]) lot_[p] = c.masses[p];
  }
  for (LineEnds& l : lines_) {
    slide(c, static_cast<int>(l.place), volume, duration_s);
    for (const End end : {End::near, End::far}) rise_through(c, l, end, volume, duration_s);
    crumble(c, l);
  }
  std::fill(begun_.begin(), begun_.end(), char(0));
  // Slower than its finest bubbles rise through its area, what passes a tank does not keep them from rising (Hazen).
  const double clears_m3 = vessel_.rise_fine_m_per_s * vessel_.shape.area_m2 * duration_s;
  rest(c.reservoir, vessel_, duration_s, through_m3 > clears_m3, c.ledger);
  rest(c.container, vessel_, duration_s, dipped_m3 > clears_m3, c.ledger);
}

}  // namespace evenstroke
