#include "evenstroke/transport/queue.hpp"

#include <algorithm>
#include <cmath>

#include "evenstroke/base/constants.hpp"
#include "evenstroke/transport/parcels.hpp"

namespace evenstroke {
namespace {

/// Dissolved air that changes place when two neighbouring stretches of oil become one [kg].
double moved_by_merging(const Parcel& a, const Parcel& b) {
  const double m = a.oil_kg + b.oil_kg;
  return m > 0 ? std::abs(a.dissolved_kg * b.oil_kg - b.dissolved_kg * a.oil_kg) / m : 0.0;
}

/// Clearly less, so that round-off never decides which of two equal pairs it is: equal branches join the same ones.
bool clearly_less(double a, double b) { return a < b * (1 - 1e-6) - 1e-18; }

/// Joins the pair of neighbours of one class that moves least air; a line of alternating slugs and oil has none, then the
/// smallest slug steps over the oil to the next slug.
double make_room(Queue& q) {
  int best = -1;
  double least = 0;
  for (int i = 0; i + 1 < q.count; ++i) {
    if (q[i].slug != q[i + 1].slug) continue;
    const double moved = q[i].slug ? 0.0 : moved_by_merging(q[i], q[i + 1]);
    if (best < 0 || clearly_less(moved, least)) best = i, least = moved;
  }
  if (best >= 0) {
    absorb(q[best], q[best + 1]);
    erase(q, best + 1);
    return least;
  }
  for (int i = 0; i + 2 < q.count; ++i)
    if (q[i].slug && q[i + 2].slug) {
      const double moved = std::min(q[i].gas_kg, q[i + 2].gas_kg);
      if (best < 0 || clearly_less(moved, least)) best = i, least = moved;
    }
  absorb(q[best], q[best + 2]);
  erase(q, best + 2);
  return least;
}

double lay(Queue& q, End end, const Parcel& p, const LineState& s) {
  if (p.oil_kg <= 0 && p.gas_kg <= 0 && p.dissolved_kg <= 0) return 0;
  const int mouth = end == End::near ? 0 : q.count - 1, next = end == End::near ? 1 : q.count - 2;
  if (p.slug && q.count > 1 && q[next].slug && bridges(q[mouth], s)) {   // gas passes oil too short to hold it up
    absorb(q[next], p);
    return 0;
  }
  if (q.count && ((p.slug && q[mouth].slug) || alike(p, q[mouth]))) {
    absorb(q[mouth], p);
    return 0;
  }
  Parcel both = p;
  if (q.count) absorb(both, q[mouth]);
  if (q.count && !p.slug && !q[mouth].slug && bridges(both, s)) {   // oil no longer than a bore is mixed
    const double mixed = moved_by_merging(p, q[mouth]);
    q[mouth] = both;
    return mixed;
  }
  double moved = 0;
  while (q.count >= q.limit) moved += make_room(q);
  insert(q, end == End::near ? 0 : q.count, p);
  return moved;
}

/// A share of a slug's gas goes; the film of that share stays on the wall, for the oil behind it while there is any.
void let_out(Queue& q, int mouth, int behind, double share, Bundle& out) {
  Parcel& slug = q[mouth];
  const double gas_kg = share < 1 ? share * slug.gas_kg : slug.gas_kg;
  out.pocket_kg += gas_kg;
  slug.gas_kg -= gas_kg;
  if (share >= 1) {
    slug.slug = false;                                   // nothing but its film is left, and that is oil
    if (slug.oil_kg <= 0) erase(q, mouth);
    return;
  }
  if (q.count < 2 || slug.oil_kg <= 0) return;
  const Parcel film{share * slug.oil_kg, 0.0, share * slug.dissolved_kg, false};
  slug.oil_kg -= film.oil_kg;
  slug.dissolved_kg -= film.dissolved_kg;
  if (alike(q[behind], film) || q.count >= q.limit) absorb(q[behind], film);
  else insert(q, behind < mouth ? mouth : behind, film);
}

}  // namespace

LineState line_state(const Network& n, const Contents& c, std::size_t p) {
  const double pressure = c.pressure_pa_abs[p], gas = n.gas_j_per_kg / pressure;
  return {relative_volume(n.liquid, pressure) / n.rho0_kg_per_m3, gas, gas * c.pocket_k[p] / n.rig.oil.temperature_k,
          n.places[p].bore_m};
}

Bundle pop(Queue& q, End end, double volume, const LineState& s) {
  Bundle out;
  const double crumb = 1e-12 * volume;   // round-off neither takes nor leaves parcels of its own
  while (q.count && volume > crumb) {
    const int mouth = end == End::near ? 0 : q.count - 1, behind = end == End::near ? 1 : q.count - 2;
    const bool slug = q[mouth].slug;
    const double v = slug ? q[mouth].gas_kg * s.slug_m3_per_kg : volume_m3(q[mouth], s);
    const bool all = v <= volume + crumb;
    const double share = all ? 1.0 : volume / v;
    volume -= v;
    if (slug) {
      let_out(q, mouth, behind, share, out);
      continue;
    }
    const Parcel part = all ? q[mouth] : split(q[mouth], share);
    if (all) erase(q, mouth);
    out.oil_kg += part.oil_kg;
    out.dissolved_kg += part.dissolved_kg;
  }
  return out;
}

double push(Queue& q, End end, const Bundle& b, const LineState& s) {
  const Parcel oil{b.oil_kg, 0.0, b.dissolved_kg, false}, gas{0.0, b.pocket_kg, 0.0, true};
  const bool slug_at_mouth = q.count && q[end == End::near ? 0 : q.count - 1].slug;
  const double moved = lay(q, end, slug_at_mouth ? gas : oil, s);
  return moved + lay(q, end, slug_at_mouth ? oil : gas, s);
}

double slug_position_m3(const Queue& q, const LineState& s) {
  double at = 0, sum = 0, mass = 0;
  for (int i = 0; i < q.count; ++i) {
    const double v = volume_m3(q[i], s);
    if (q[i].slug) sum += q[i].gas_kg * (at + 0.5 * v), mass += q[i].gas_kg;
    at += v;
  }
  return mass > 0 ? sum / mass : 0.0;
}

double slug_share(const Queue& q, double from, double to, const LineState& s) {
  const double whole = whole_m3(q, s);
  if (whole <= 0 || to <= from) return 0;
  double at = 0, gas = 0;
  for (int i = 0; i < q.count; ++i) {
    const double v = volume_m3(q[i], s), start = at / whole;
    at += v;
    const double within = std::min(to, at / whole) - std::max(from, start);
    if (q[i].slug && within > 0) gas += within * (q[i].gas_kg * s.slug_m3_per_kg / v);
  }
  return std::min(1.0, gas / (to - from));
}

double column_pa(const Queue& q, const Profile& run, double from, double to, const LineState& s, double rho_kg_per_m3) {
  if (to < from) return -column_pa(q, run, to, from, s, rho_kg_per_m3);
  const double whole = whole_m3(q, s);
  double at = 0, height = 0;                     // of the oil alone
  for (int i = 0; i < q.count && whole > 0; ++i) {
    const double v = volume_m3(q[i], s), a = std::clamp(at / whole, from, to);
    at += v;
    const double b = i + 1 < q.count ? std::clamp(at / whole, from, to) : to;
    if (v > 0) height += (q[i].oil_kg * s.oil_m3_per_kg / v) * (run.height_m(b) - run.height_m(a));
  }
  return rho_kg_per_m3 * gravity_m_per_s2 * height;
}

}  // namespace evenstroke
