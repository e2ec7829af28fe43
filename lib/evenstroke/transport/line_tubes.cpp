#include "evenstroke/transport/line_tubes.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "evenstroke/air/bubble.hpp"
#include "evenstroke/transport/swarm.hpp"

namespace evenstroke {

double level_share(const Place& line) {
  const double length_m = line.volume_m3 / (std::numbers::pi / 4 * line.bore_m * line.bore_m);
  const double sine = line.profile.sin_incline(0.5, length_m);
  return std::sqrt(std::max(0.0, 1 - sine * sine));
}

LineTubes::LineTubes(const Network& n, int streamtubes)
    : rings_(make_streamtubes(streamtubes)), level_(make_level_streamtubes(streamtubes)), rises_(n.places.size()) {
  constexpr double long_s = 3600;
  for (std::size_t p = 0; p < n.places.size(); ++p) {
    const Place& line = n.places[p];
    if (line.kind != PlaceKind::line) continue;
    for (const BubbleClass k : {coarse, fine}) {
      const double d = diameter_m(n.rig.air, k);
      const double way = bubble_rise_m_per_s(d, n.mu_pa_s, n.rho0_kg_per_m3) * level_share(line) * long_s;
      rises_[p][k] = way > line.bore_m - d;
    }
  }
}

}  // namespace evenstroke
