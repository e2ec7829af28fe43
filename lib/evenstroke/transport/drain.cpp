// An end open to the air, transport/queue.hpp.
#include <algorithm>

#include "evenstroke/transport/queue.hpp"

namespace evenstroke {

Bundle drain(Queue& q, End end, double volume_m3, double air_kg_per_m3, const LineState& s) {
  Bundle out;
  if (volume_m3 <= 0 || q.count == 0) return out;
  const bool near = end == End::near;
  const int mouth = near ? 0 : q.count - 1, next = near ? 1 : q.count - 2;
  const bool cavity = q[mouth].slug;                     // air that has come in before: it reaches deeper
  if (cavity && q.count < 2) return out;
  Parcel& oil = q[cavity ? next : mouth];
  if (oil.slug) return out;
  const double has = oil.oil_kg * s.oil_m3_per_kg, share = has > volume_m3 ? volume_m3 / has : 1.0;
  out = {.oil_kg = share * oil.oil_kg, .pocket_kg = std::min(volume_m3, has) * air_kg_per_m3,
         .dissolved_kg = share * oil.dissolved_kg};
  oil.oil_kg -= out.oil_kg;
  oil.dissolved_kg -= out.dissolved_kg;
  if (cavity) q[mouth].gas_kg += out.pocket_kg;
  else push(q, end, {.pocket_kg = out.pocket_kg}, s);
  return out;
}

}  // namespace evenstroke
