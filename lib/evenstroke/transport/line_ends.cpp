// What goes on in a line and at its ends within one quantum: Transport::slide and what follows it.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "evenstroke/air/slug.hpp"
#include "evenstroke/transport/parcels.hpp"
#include "evenstroke/transport/transport.hpp"

namespace evenstroke {
namespace {

std::size_t at(int i) { return static_cast<std::size_t>(i); }

double share(double part, double whole) { return whole > 0 ? std::clamp(part / whole, 0.0, 1.0) : 0.0; }

}  // namespace

/// Once per line, between what it gets and what it gives: a slug runs from the moment it has come in until it leaves, and
/// bubbles that leave in this quantum are told from those that stay.
void Transport::slide(Contents& c, int place, const std::vector<double>& volume, double duration_s) {
  LineEnds& l = line(at(place));
  if (l.slid) return;
  l.slid = true;
  LineContents& contents = c.line[l.place];
  const Place& where = net_.places[l.place];
  const LineState s = line_state(c, l.place);
  const double near_out = std::max(0.0, outward_m3(l, End::near, volume)), far_out = std::max(0.0, outward_m3(l, End::far, volume));
  const double near = l.in_near_m3 - near_out, far = far_out - l.in_far_m3;
  SlugPath slugs(contents.queue, l.in_near_m3, l.in_far_m3, near, far, s);
  overtake(contents.queue, near, far, duration_s, s, net_.rig.air, net_.mu_pa_s);
  rise(contents.queue, where.profile, l.length_m, duration_s, s, net_.rig.air, net_.mu_pa_s, net_.rho0_kg_per_m3);
  slugs.arrive(contents.queue, s);
  for (const BubbleClass k : {coarse, fine}) {
    SwarmMotion m = motion(c, l, k, near, far, duration_s);
    m.slugs = &slugs;
    l.out[k] = evenstroke::move(contents.bubbles[k], tubes_(l.place, k), m, where.profile, l.length_m, l.in_near_kg[k],
                                l.in_far_kg[k], &merged_kg_);
  }
  // A pile of bubbles at an end gives no more than has flowed out there.
  const auto hold = [&](double Passed::*kg, double out_m3, double end) {
    const double all_kg = l.out[coarse].*kg + l.out[fine].*kg, room_kg = out_m3 / s.gas_m3_per_kg;
    if (all_kg <= room_kg) return;
    for (const BubbleClass k : {coarse, fine}) {
      const double goes = l.out[k].*kg * (room_kg / all_kg);
      fill(contents.bubbles[k], tubes_(l.place, k), end, end, l.out[k].*kg - goes);
      l.out[k].*kg = goes;
    }
  };
  hold(&Passed::near_kg, near_out, 0);
  hold(&Passed::far_kg, far_out, 1);
}

/// Rise of a line's run towards an end, per length.
double Transport::sin_outward(const LineEnds& l, End end) const {
  const double sine = net_.places[l.place].profile.sin_incline(end == End::near ? 0.0 : 1.0, l.length_m);
  return end == End::far ? sine : -sine;
}

/// Speed of the air that comes in at an open end by itself. Where a surface could still hold, how fast is as unknown as
/// the rise of slugs in narrow lines.
double Transport::creep_m_per_s(const LineEnds& l, End end) const {
  const double bore = net_.places[l.place].bore_m, sigma = net_.rig.air.surface_tension_n_per_m;
  const double speed = open_end_exchange_m_per_s(bore, net_.mu_pa_s, net_.rho0_kg_per_m3, sigma, -sin_outward(l, end),
                                                 p0_pa_abs / net_.gas_j_per_kg);
  return bore < draining_bore_m(sigma, net_.rho0_kg_per_m3) ? net_.rig.air.slug_rise * speed : speed;
}

/// Gas and oil change places through a joint that nothing else moves: a slug rises out of the line into what stands above
/// it, or a pocket that reaches its port rises into the line; an end open to the air drains (air/slug.hpp).
void Transport::rise_through(Contents& c, LineEnds& l, End end, const std::vector<double>& volume_m3, double duration_s) {
  const std::size_t e = end == End::near ? l.near : l.far;
  if (e >= net_.edges.size()) return;
  const int other = end == End::near ? net_.edges[e].from : net_.edges[e].to;
  const Place& where = net_.places[l.place];
  const double outward = sin_outward(l, end);
  const double area = std::numbers::pi / 4 * where.bore_m * where.bore_m, sigma = net_.rig.air.surface_tension_n_per_m;
  const LineState s = line_state(c, l.place);
  Queue& q = c.line[l.place].queue;
  if (q.count == 0 || net_.edges[e].from_share > 0) return;   // at joined ends flow alone carries gas from line to line
  if (other == air_place) {
    const double speed = creep_m_per_s(l, end);
    const double runs_m3 = std::max(0.0, outward_m3(l, end, volume_m3));   // what runs out keeps the air out
    const Bundle out = drain(q, end, area * speed * duration_s - runs_m3, p0_pa_abs / net_.gas_j_per_kg, s);
    c.ledger.oil_spilled_kg += out.oil_kg;
    c.ledger.air_vented_kg += out.dissolved_kg;
    c.ledger.air_ingested_kg += out.pocket_kg;
    return;
  }
  const double speed = net_.rig.air.slug_rise *
                       slug_rise_inclined_m_per_s(where.bore_m, net_.mu_pa_s, net_.rho0_kg_per_m3, sigma, std::abs(outward),
                                                  1 / s.slug_m3_per_kg);
  const double volume = area * speed * duration_s;
  if (volume <= 0) return;
  const bool slug_at_mouth = q[end == End::near ? 0 : q.count - 1].slug;
  if (outward > 0 && slug_at_mouth && other != air_place) {
    Parcel& slug = q[end == End::near ? 0 : q.count - 1];
    const double wanted = std::min(volume, slug.gas_kg * s.slug_m3_per_kg);
    const Bundle oil = oil_for(c, other, wanted);
    const double made = volume_at(c, other, oil);         // no oil, no room made
    const double gas_kg = made < (1 - 1e-9) * wanted ? made / s.slug_m3_per_kg : std::min(slug.gas_kg, volume / s.slug_m3_per_kg);
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
    fill(line.bubbles[coarse], tubes_(l.place, coarse), from / whole, at_m3 / whole, p.gas_kg);
    p.gas_kg = 0;
    p.slug = false;
  }
}

}  // namespace evenstroke
