#pragma once
#include <algorithm>
#include <initializer_list>

#include "evenstroke/transport/queue.hpp"
#include "support/near.hpp"

namespace evenstroke::testing {

/// Parcels of a 4 mm line at 2 bar, by their volume; its slugs are warmer than its oil.
inline constexpr double ml = 1e-6, rho = 870, mu_pa_s = 0.03;
inline const LineState state{1 / rho, 287.055 * 293.15 / 2e5, 287.055 * 310 / 2e5, 4e-3};

inline Parcel oil(double volume_ml, double air_kg_per_kg = 0) {
  const double kg = volume_ml * ml / state.oil_m3_per_kg;
  return {kg, 0, air_kg_per_kg * kg, false};
}
inline Parcel slug(double volume_ml) { return {0, volume_ml * ml / state.slug_m3_per_kg, 0, true}; }
inline Queue line(std::initializer_list<Parcel> parcels) {
  Queue q;
  for (const Parcel& p : parcels) q[q.count++] = p;
  return q;
}
inline Queue mirrored(Queue q) {
  std::reverse(q.parcel.begin(), q.parcel.begin() + q.count);
  return q;
}
inline double ml_of(const Parcel& p) { return volume_m3(p, state) / ml; }
inline AirInputs constant_ratio(double k, double slip = 1) {
  AirInputs a;
  a.slug_ratio = k;
  a.slug_slip = slip;
  return a;
}
inline Bundle bundle(const Parcel& p) {
  return {.oil_kg = p.oil_kg, .pocket_kg = p.gas_kg, .dissolved_kg = p.dissolved_kg};
}
inline bool same(const Queue& a, const Queue& b, double rel) {
  bool good = a.count == b.count;
  for (int i = 0; i < std::min(a.count, b.count); ++i)
    good = good && a[i].slug == b[i].slug && near(a[i].oil_kg, b[i].oil_kg, rel, 0) &&
           near(a[i].gas_kg, b[i].gas_kg, rel, 0) && near(a[i].dissolved_kg, b[i].dissolved_kg, rel, 0);
  return good;
}

}  // namespace evenstroke::testing
