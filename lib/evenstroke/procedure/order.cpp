#include "evenstroke/procedure/order.hpp"

#include <algorithm>
#include <numeric>

namespace evenstroke {

std::vector<int> canonical_order(const Rig& rig, const Contents& c) {
  const std::vector<double> load = static_load_n(rig.panel, static_cast<int>(rig.branches.size()));
  const std::vector<RigField> fields = rig_fields(rig);
  std::vector<std::vector<double>> key(rig.branches.size());
  for (std::size_t branch = 0; branch < rig.branches.size(); ++branch) {
    const std::string name = rig.branches[branch].name + ".", path = "branch." + name;
    key[branch] = {load[branch], static_cast<double>(rig.branches[branch].cylinder.attitude)};
    for (const RigField& f : fields)
      if (f.path.compare(0, path.size(), path) == 0) key[branch].push_back(f.value);
    for (std::size_t p = 0; p < c.place.size(); ++p) {
      if (c.place[p].compare(0, name.size(), name) != 0) continue;
      const Masses m = held(c, static_cast<int>(p));
      key[branch].insert(key[branch].end(), {m.oil_kg, m.pocket_kg, m.coarse_kg, m.fine_kg, m.dissolved_kg, c.pressure_pa_abs[p],
                                   c.pocket_k[p]});
      const LineContents& l = c.line[p];
      for (int i = 0; i < l.queue.count; ++i) {
        const Parcel& q = l.queue[i];
        key[branch].insert(key[branch].end(), {q.oil_kg, q.gas_kg, q.dissolved_kg, q.slug ? 1.0 : 0.0});
      }
      for (const Swarm& s : l.bubbles)
        for (std::size_t k = 0; k < s.count.size(); ++k)
          for (int i = 0; i < s.count[k]; ++i) {
            const Cloud& b = s.cloud[k * Swarm::capacity + static_cast<std::size_t>(i)];
            key[branch].insert(key[branch].end(), {b.from, b.to, b.kg});
          }
    }
    for (std::size_t a = 0; a < c.axis.size(); ++a)
      if (c.axis[a].compare(0, name.size(), name) == 0)
        key[branch].insert(key[branch].end(), {c.position_m[a], static_cast<double>(c.motion[a])});
  }
  std::vector<int> order(rig.branches.size());
  std::iota(order.begin(), order.end(), 0);
  std::stable_sort(order.begin(), order.end(), [&](int a, int b) {
    return key[static_cast<std::size_t>(a)] < key[static_cast<std::size_t>(b)];
  });
  return order;
}

}  // namespace evenstroke
