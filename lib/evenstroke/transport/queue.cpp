#include "evenstroke/transport/queue.hpp"

#include <algorithm>
#include <cmath>

#include "evenstroke/air/slug.hpp"

namespace evenstroke {
namespace {

void insert(Queue& q, int at, const Parcel& p) {
  for (int i = q.count; i > at; --i) q[i] = q[i - 1];
  q[at] = p;
  ++q.count;
}

void erase(Queue& q, int at) {
  --q.count;
  for (int i = at; i < q.count; ++i) q[i] = q[i + 1];
}

void absorb(Parcel& into, const Parcel& p) {
  into.oil_kg += p.oil_kg;
  into.gas_kg += p.gas_kg;
}

Parcel split(Parcel& p, double share) {
  const Parcel part{p.oil_kg * share, p.gas_kg * share, p.slug};
  p.oil_kg -= part.oil_kg;
  p.gas_kg -= part.gas_kg;
  return part;
}

/// Gas that changes place when two neighbouring stretches of oil become one [kg].
double moved_by_merging(const Parcel& a, const Parcel& b) {
  const double m = a.oil_kg + b.oil_kg;
  return m > 0 ? std::abs(a.gas_kg * b.oil_kg - b.gas_kg * a.oil_kg) / m : 0.0;
}

/// Clearly less, so that round-off never decides which of two equal pairs it is: equal branches join the same ones.
bool clearly_less(double a, double b) { return a < b * (1 - 1e-6) - 1e-18; }

/// Joins the pair of neighbours of one class that moves least gas; a line of alternating slugs and oil has none, then the
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

bool same_mixture(const Parcel& a, const Parcel& b) {
  return !a.slug && !b.slug && std::abs(a.gas_kg * b.oil_kg - b.gas_kg * a.oil_kg) <= 1e-12 * a.oil_kg * b.oil_kg * 1e-3;
}

/// Oil shorter than about the bore does not keep two slugs apart (engineering estimate; the like of is_slug).
bool bridges(const Parcel& oil, const LineState& s) { return !oil.slug && !is_slug(volume_m3(oil, s), s.bore_m); }

double lay(Queue& q, End end, const Parcel& p, const LineState& s) {
  if (p.oil_kg <= 0 && p.gas_kg <= 0) return 0;
  const int mouth = end == End::near ? 0 : q.count - 1, next = end == End::near ? 1 : q.count - 2;
  if (p.slug && q.count > 1 && q[next].slug && bridges(q[mouth], s)) {
    absorb(q[next], q[mouth]);
    absorb(q[next], p);
    erase(q, mouth);
    return 0;
  }
  if (q.count && ((p.slug && q[mouth].slug) || same_mixture(p, q[mouth]))) {
    absorb(q[mouth], p);
    return 0;
  }
  double moved = 0;
  while (q.count >= Queue::capacity) moved += make_room(q);
  insert(q, end == End::near ? 0 : q.count, p);
  return moved;
}

/// Lays oil behind the slug at `i`; returns where the slug is then. While a slug is coming in there is no room behind
/// it: the oil stays along it as its film.
int lay_behind(Queue& q, int i, const Parcel& oil, bool coming_in) {
  if (coming_in) absorb(q[i], oil);
  else if (same_mixture(q[i - 1], oil) || q.count >= Queue::capacity) absorb(q[i - 1], oil);
  else insert(q, i++, oil);
  return i;
}

/// The slug at `first` moves on by `left`, oil from its front to its back; one that leaves sheds its film instead.
void move_on(Queue& q, int first, double left, const LineState& s) {
  const bool coming_in = first == 0 || (first == 1 && bridges(q[0], s));
  int i = first;
  while (left > 0 && i + 1 < q.count) {
    const double front = volume_m3(q[i + 1], s);
    const bool all = left >= front;
    const Parcel oil = all ? q[i + 1] : split(q[i + 1], left / front);
    left -= front;
    if (all) erase(q, i + 1);
    i = lay_behind(q, i, oil, coming_in);
    if (i + 1 < q.count && q[i + 1].slug) {   // it has caught the slug in front
      absorb(q[i], q[i + 1]);
      erase(q, i + 1);
      return;
    }
  }
  if (left <= 0 || coming_in || q[i].oil_kg <= 0) return;
  const Parcel film{std::min(q[i].oil_kg, left / s.oil_m3_per_kg), 0.0, false};
  q[i].oil_kg -= film.oil_kg;
  lay_behind(q, i, film, false);
}

/// Slugs of a line that flows from its first parcel to its last, the foremost first.
void overtake_forward(Queue& q, double in_m3, double out_m3, double duration_s, double whole_m3, const LineState& s,
                      const AirInputs& air, double mu_pa_s) {
  const double area = 0.785398163397448310 * s.bore_m * s.bore_m;
  double ahead = 0;
  for (int i = q.count - 1; i >= 0; --i) {    // what one lays behind itself has been counted where it came from
    const double v = volume_m3(q[i], s);
    const double middle = 1 - (ahead + 0.5 * v) / whole_m3;
    ahead += v;
    const double passing = in_m3 + middle * (out_m3 - in_m3);
    if (!q[i].slug || passing <= 0 || !is_slug(v, s.bore_m)) continue;
    const double ratio = air.slug_ratio > 0
                             ? air.slug_ratio
                             : slug_speed_ratio(passing / (area * duration_s), mu_pa_s, air.surface_tension_n_per_m);
    move_on(q, i, air.slug_slip * (ratio - 1) * passing, s);
  }
}

}  // namespace

double volume_m3(const Parcel& p, const LineState& s) { return p.oil_kg * s.oil_m3_per_kg + p.gas_kg * s.gas_m3_per_kg; }

Bundle pop(Queue& q, End end, double volume, const LineState& s) {
  Bundle out;
  const double crumb = 1e-12 * volume;   // round-off neither takes nor leaves parcels of its own
  while (q.count && volume > crumb) {
    const int mouth = end == End::near ? 0 : q.count - 1;
    const double v = volume_m3(q[mouth], s);
    const bool all = v <= volume + crumb;
    const Parcel part = all ? q[mouth] : split(q[mouth], volume / v);
    if (all) erase(q, mouth);
    out.oil_kg += part.oil_kg;
    (part.slug ? out.pocket_kg : out.dispersed_kg) += part.gas_kg;
    volume -= v;
  }
  return out;
}

double push(Queue& q, End end, const Bundle& b, const LineState& s) {
  const Parcel oil{b.oil_kg, b.dispersed_kg, false}, gas{0.0, b.pocket_kg, true};
  const bool slug_at_mouth = q.count && q[end == End::near ? 0 : q.count - 1].slug;
  const double moved = lay(q, end, slug_at_mouth ? gas : oil, s);
  return moved + lay(q, end, slug_at_mouth ? oil : gas, s);
}

void overtake(Queue& q, double near_m3, double far_m3, double duration_s, const LineState& s, const AirInputs& air,
              double mu_pa_s) {
  double whole = 0;
  bool any = false;
  for (int i = 0; i < q.count; ++i) {
    whole += volume_m3(q[i], s);
    any = any || q[i].slug;
  }
  if (!any || whole <= 0 || air.slug_slip <= 0) return;
  if (near_m3 + far_m3 < 0) {   // one direction is enough to write down
    std::reverse(q.parcel.begin(), q.parcel.begin() + q.count);
    overtake_forward(q, -far_m3, -near_m3, duration_s, whole, s, air, mu_pa_s);
    std::reverse(q.parcel.begin(), q.parcel.begin() + q.count);
  } else {
    overtake_forward(q, near_m3, far_m3, duration_s, whole, s, air, mu_pa_s);
  }
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

}  // namespace evenstroke
