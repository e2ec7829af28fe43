#include "evenstroke/transport/parcels.hpp"

#include <algorithm>
#include <cmath>

#include "evenstroke/air/slug.hpp"

namespace evenstroke {

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
  into.dissolved_kg += p.dissolved_kg;
}

Parcel split(Parcel& p, double share) {
  const Parcel part{p.oil_kg * share, p.gas_kg * share, p.dissolved_kg * share, p.slug};
  p.oil_kg -= part.oil_kg;
  p.gas_kg -= part.gas_kg;
  p.dissolved_kg -= part.dissolved_kg;
  return part;
}

bool alike(const Parcel& a, const Parcel& b) {
  const double in_a = a.dissolved_kg * b.oil_kg, in_b = b.dissolved_kg * a.oil_kg;
  const bool sliver = std::min(a.oil_kg, b.oil_kg) <= 1e-13;   // left over by round-off: a ten-thousandth of a microlitre
  return !a.slug && !b.slug && (sliver || std::abs(in_a - in_b) <= 1e-9 * std::max(in_a, in_b));
}

/// Shorter than about the bore (engineering estimate; the like of is_slug).
bool bridges(const Parcel& oil, const LineState& s) { return !oil.slug && !is_slug(volume_m3(oil, s), s.bore_m); }

double volume_m3(const Parcel& p, const LineState& s) {
  return p.oil_kg * s.oil_m3_per_kg + p.gas_kg * s.slug_m3_per_kg;
}

double whole_m3(const Queue& q, const LineState& s) {
  double whole = 0;
  for (int i = 0; i < q.count; ++i) whole += volume_m3(q[i], s);
  return whole;
}

}  // namespace evenstroke
