#include "evenstroke/transport/transport.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "evenstroke/air/slug.hpp"

namespace evenstroke {
namespace {

std::size_t at(int i) { return static_cast<std::size_t>(i); }

}  // namespace

Transport::Transport(const Network& n, int streamtubes, int parcels)
    : net_(n), tubes_(n, streamtubes), parcels_(parcels), vessel_(vessel(n)),
      waiting_(n.places.size()), done_(n.edges.size()),
      scale_(n.places.size()), waits_kg_(n.places.size()),
      lot_(n.places.size()), begun_(n.places.size()), mouths_(n.places.size()) {
  for (std::size_t e = 0; e < n.edges.size(); ++e)
    if (n.edges[e].opening >= 0 && n.edges[e].axis < n.branches()) past_pistons_.push_back(e);
  for (std::size_t p = 0; p < n.places.size(); ++p) {
    if (n.places[p].kind != PlaceKind::line) continue;
    LineEnds l{};
    l.place = p;
    l.near = l.far = n.edges.size();                       // none: that end is capped
    l.length_m = n.places[p].volume_m3 / (std::numbers::pi / 4 * n.places[p].bore_m * n.places[p].bore_m);
    for (std::size_t e = 0; e < n.edges.size(); ++e) {
      if (n.edges[e].kind != EdgeKind::line) continue;
      const bool joined = n.edges[e].from_share > 0, to = n.edges[e].to == static_cast<int>(p);
      if (to && !joined) l.near = e;
      if (to && joined) l.far = e, l.far_in = true;
      if (n.edges[e].from == static_cast<int>(p)) l.far = e;
    }
    for (const std::size_t e : {l.near, l.far})
      for (const int end : {e < n.edges.size() ? n.edges[e].from : -1, e < n.edges.size() ? n.edges[e].to : -1})
        if (end >= 0) mouths_[at(end)] += 1;
    lines_.push_back(l);
  }
}

void Transport::prepare(Contents& c) const {
  for (const LineEnds& l : lines_) {
    c.line[l.place].queue.limit = parcels_;
    for (const BubbleClass k : {coarse, fine}) {
      Swarm& s = c.line[l.place].bubbles[k];
      s.limit = parcels_ / 2;
      if (!s.count.empty()) regrid(s, tubes_(l.place, k));
    }
  }
}

Transport::LineEnds& Transport::line(std::size_t place) {
  return *std::find_if(lines_.begin(), lines_.end(), [&](const LineEnds& l) { return l.place == place; });
}

/// Room a bundle takes in a place, or at p0 outside.
double Transport::volume_at(const Contents& c, int place, const Bundle& b) const {
  if (place < 0) return b.oil_kg / net_.rho0_kg_per_m3 + b.gas_kg() * net_.gas_j_per_kg / p0_pa_abs;
  const LineState s = line_state(c, at(place));
  return b.oil_kg * s.oil_m3_per_kg + b.bubbles_kg() * s.gas_m3_per_kg + b.pocket_kg * s.slug_m3_per_kg;
}

void Transport::begin(const Contents& c) {
  for (std::size_t p = 0; p < net_.places.size(); ++p) {
    waits_kg_[p] = 0;
    if (net_.places[p].kind == PlaceKind::chamber && c.masses[p].pocket_kg > 0)
      waits_kg_[p] = reach_m3(c, static_cast<int>(p), 0) / line_state(c, p).slug_m3_per_kg;
  }
}

/// Out of a chamber comes first the gas that reaches the port, then oil with its bubbles, then, once the oil is used up, gas
/// again. Gas that reaches the port enters a line as a slug where it stood there as the quantum began, is more than half of what
/// comes, or follows a slug that is still coming in; what only trickles down to it in the quantum's course (a rising bubble, a
/// roof that sinks) comes in as bubbles. So the length of a quantum decides no more than where one portion ends.
void Transport::pass(Contents& c, int from, int to, int edge, double volume, double duration_s) {
  const bool chamber = from >= 0 && net_.places[at(from)].kind == PlaceKind::chamber;
  const double reach = chamber ? reach_m3(c, from, volume / duration_s, edge) : 0.0;
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

/// Oil keeps bubbles apart up to froth; gas beyond that runs together.
Bundle Transport::collapsed(Bundle b, const LineState& s) const {
  const double gas = b.bubbles_kg() * s.gas_m3_per_kg, void_share = net_.rig.air.froth;
  const double keeps = b.oil_kg * s.oil_m3_per_kg * void_share / (1 - void_share);
  if (gas <= keeps) return b;
  const double stays = keeps / gas;
  b.pocket_kg += (1 - stays) * b.bubbles_kg();
  b.coarse_kg *= stays;
  b.fine_kg *= stays;
  return b;
}

void Transport::give(Contents& c, int place, int edge, const Bundle& given, double duration_s) {
  const bool to_line = place >= 0 && net_.places[at(place)].kind == PlaceKind::line;
  const Bundle b = to_line ? collapsed(given, line_state(c, at(place))) : given;
  if (place == reservoir_place || place == container_place)
    for (double Bundle::*kg : {&Bundle::oil_kg, &Bundle::pocket_kg, &Bundle::coarse_kg, &Bundle::fine_kg, &Bundle::dissolved_kg})
      arrived_.*kg += b.*kg;
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

void Transport::move(Contents& c, const std::vector<double>& volume, double duration_s) {
  const auto donor = [&](std::size_t e) { return volume[e] > 0 ? net_.edges[e].from : net_.edges[e].to; };
  const auto taker = [&](std::size_t e) { return volume[e] > 0 ? net_.edges[e].to : net_.edges[e].from; };
  std::fill(waiting_.begin(), waiting_.end(), 0);
  std::fill(scale_.begin(), scale_.end(), -1.0);
  std::fill(begun_.begin(), begun_.end(), char(0));
  arrived_ = {};
  reservoir_lot_ = c.reservoir;
  container_lot_ = c.container;
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
  // What goes past a piston at its stop goes through chambers, one of them next to empty: they are passages then.
  const auto passed = [&](int place) {
    for (const std::size_t e : past_pistons_)
      if (volume[e] != 0 && (net_.edges[e].from == place || net_.edges[e].to == place)) return true;
    return false;
  };
  bool forced = false;            // passages and lines wait for what they get; a ring is cut at last, at a passage:
                                  // what comes into a line after it has given would not be carried on
  while (left > 0) {
    const std::size_t before = left;
    for (std::size_t e = 0; e < net_.edges.size(); ++e) {
      if (done_[e]) continue;
      const int from = donor(e), to = taker(e), edge = static_cast<int>(e);
      const PlaceKind kind = passed(from) ? PlaceKind::passage : net_.places[at(from)].kind;
      const bool passage = kind == PlaceKind::passage;
      if (kind != PlaceKind::chamber && waiting_[at(from)] > 0 && !(forced && passage)) continue;
      forced = false;
      if (kind == PlaceKind::line) slide(c, from, volume, duration_s);
      const double asked = std::abs(volume[e]);
      if (passage && scale_[at(from)] < 0)                 // unknown while inflows are still to come
        scale_[at(from)] = waiting_[at(from)] > 0 ? 1.0 : passage_scale(c, from, volume);
      pass(c, from, to, edge, passage ? asked * scale_[at(from)] : asked, duration_s);
      done_[e] = 1;
      --left;
      if (to >= 0) --waiting_[at(to)];
    }
    forced = left == before;                               // one cut opens the ring
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
  begin(c);
  // Slower than its finest bubbles rise through its area, what passes a tank does not keep them from rising (Hazen).
  const double clears_m3 = vessel_.rise_fine_m_per_s * vessel_.shape.area_m2 * duration_s;
  rest(c.reservoir, vessel_, duration_s, through_m3 > clears_m3, c.ledger);
  rest(c.container, vessel_, duration_s, dipped_m3 > clears_m3, c.ledger);
}

}  // namespace evenstroke
