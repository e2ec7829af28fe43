#include "evenstroke/network/without_air.hpp"

#include <algorithm>

#include "evenstroke/air/solution.hpp"
#include "evenstroke/base/error.hpp"

namespace evenstroke {
namespace {

/// Some oil for `fit` to make more of, saturated as open oil is.
constexpr double seed_kg = 1e-6;

void fill_with_oil(const Network& n, Masses& m, LineContents& l, bool line) {
  const double dissolved_kg = seed_kg * dissolved_at_kg_per_m3(n.rig.air.bunsen, p0_pa_abs) / n.rho0_kg_per_m3;
  if (!line) {
    m.pocket_kg = m.coarse_kg = m.fine_kg = 0;
    if (m.oil_kg <= 0) m.oil_kg = seed_kg, m.dissolved_kg = dissolved_kg;
    return;
  }
  for (Swarm& s : l.bubbles) {
    const int limit = s.limit;
    s = Swarm();
    s.limit = limit;
  }
  for (int i = 0; i < l.queue.count; ++i) {
    Parcel& p = l.queue[i];
    p.gas_kg = 0;
    p.slug = false;
    if (p.oil_kg <= 0) p.oil_kg = seed_kg, p.dissolved_kg = dissolved_kg;
  }
}

}  // namespace

Contents without_air(const Contents& from, const Rig& rig, const std::vector<std::string>& places) {
  check(from, rig);
  const Network n = make_network(as_warm(rig, from));
  Contents c = fit(from, n);
  for (const std::string& name : places) {
    const auto found = std::find(c.place.begin(), c.place.end(), name);
    if (found == c.place.end()) throw InputError("places", name, "", "must name a place of the contents");
    const auto i = static_cast<std::size_t>(found - c.place.begin());
    fill_with_oil(n, c.masses[i], c.line[i], n.places[i].kind == PlaceKind::line);
    c.pocket_k[i] = n.rig.oil.temperature_k;
  }
  c.recipe.valid = false;
  return fit(c, n);
}

}  // namespace evenstroke
