#include "evenstroke/procedure/order.hpp"

#include <algorithm>
#include <numeric>

namespace evenstroke {

std::vector<int> canonical_order(const Rig& rig, const Contents& c) {
  const std::vector<double> load = static_load_n(rig.panel, static_cast<int>(rig.branches.size()));
  const std::vector<RigField> fields = rig_fields(rig);
  std::vector<std::vector<double>> key(rig.branches.size());
  for (std::size_t b = 0; b < rig.branches.size(); ++b) {
    const std::string name = rig.branches[b].name + ".", path = "branch." + name;
    key[b] = {load[b], static_cast<double>(rig.branches[b].cylinder.attitude)};
    for (const RigField& f : fields)
      if (f.path.compare(0, path.size(), path) == 0) key[b].push_back(f.value);
    for (std::size_t p = 0; p < c.place.size(); ++p) {
      if (c.place[p].compare(0, name.size(), name) != 0) continue;
      const Masses m = held(c, static_cast<int>(p));
      key[b].insert(key[b].end(), {m.oil_kg, m.pocket_kg, m.dispersed_kg, c.pressure_pa_abs[p]});
      for (int i = 0; i < c.queue[p].count; ++i) {
        const Parcel& q = c.queue[p][i];
        key[b].insert(key[b].end(), {q.oil_kg, q.gas_kg, q.slug ? 1.0 : 0.0});
      }
    }
    for (std::size_t a = 0; a < c.axis.size(); ++a)
      if (c.axis[a].compare(0, name.size(), name) == 0)
        key[b].insert(key[b].end(), {c.position_m[a], static_cast<double>(c.motion[a])});
  }
  std::vector<int> order(rig.branches.size());
  std::iota(order.begin(), order.end(), 0);
  std::stable_sort(order.begin(), order.end(), [&](int a, int b) {
    return key[static_cast<std::size_t>(a)] < key[static_cast<std::size_t>(b)];
  });
  return order;
}

}  // namespace evenstroke
