#pragma once
#include <algorithm>
#include <cmath>

#include "evenstroke/transport/swarm.hpp"
#include "support/near.hpp"

namespace evenstroke::testing {

inline const Profile level{};

inline Cloud cloud(const Swarm& s, std::size_t tube, int i) {
  return s.cloud[tube * Swarm::capacity + static_cast<std::size_t>(i)];
}
inline Swarm full(const Streamtubes& tubes, double kg = 1) {
  Swarm s;
  fill(s, tubes, 0, 1, kg);
  return s;
}
/// `volumes` of the line through it, in small portions, with `kg_per_volume` of bubbles in what comes in.
inline Passed flow(Swarm& s, const Streamtubes& tubes, double volumes, double kg_per_volume = 0, double d_over_bore = 0,
                   int portions = 50) {
  Passed all;
  const double v = volumes / portions;
  for (int i = 0; i < portions; ++i) {
    const Passed p = move(s, tubes, {v, v, d_over_bore, 0, 0}, level, 1, v > 0 ? kg_per_volume * v : 0,
                          v < 0 ? -kg_per_volume * v : 0, nullptr);
    all.near_kg += p.near_kg;
    all.far_kg += p.far_kg;
  }
  return all;
}
inline int largest_count(const Swarm& s) {
  return s.count.empty() ? 0 : *std::max_element(s.count.begin(), s.count.end());
}
/// In order from the near end, none over another, inside the line, none negative.
inline bool in_order(const Swarm& s) {
  for (std::size_t k = 0; k < s.count.size(); ++k) {
    double at = 0;
    for (int i = 0; i < s.count[k]; ++i) {
      const Cloud c = cloud(s, k, i);
      if (!(c.from >= at - 1e-11 && c.to >= c.from && c.to <= 1 && c.kg > 0)) return false;
      at = c.to;
    }
  }
  return true;
}
inline bool same(const Swarm& a, const Swarm& b, double abs) {
  if (a.count != b.count) return false;
  for (std::size_t k = 0; k < a.count.size(); ++k)
    for (int i = 0; i < a.count[k]; ++i) {
      const Cloud x = cloud(a, k, i), y = cloud(b, k, i);
      if (!(near(x.from, y.from, 0, abs) && near(x.to, y.to, 0, abs) && near(x.kg, y.kg, abs, 0))) return false;
    }
  return true;
}
inline Swarm mirrored(Swarm s) {
  for (std::size_t k = 0; k < s.count.size(); ++k) {
    Cloud* c = s.cloud.data() + k * Swarm::capacity;
    std::reverse(c, c + s.count[k]);
    for (int i = 0; i < s.count[k]; ++i) c[i] = {1 - c[i].to, 1 - c[i].from, c[i].kg};
  }
  return s;
}

}  // namespace evenstroke::testing
