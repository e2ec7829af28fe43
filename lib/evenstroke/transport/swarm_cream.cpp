#include <algorithm>
#include <cmath>

#include "evenstroke/transport/swarm_store.hpp"

namespace evenstroke {

namespace {

void climb(Swarm& s, const Streamtubes::Climb& strip, Sum& moved_kg) {
  Clouds wall, goes, both;
  for (const auto& [from, to] : strip) {
    load(goes, s, from);
    s.count[from] = 0;
    if (goes.count == 0) continue;
    if (to == 0) {
      load(wall, s, to);
      overlay(wall, goes, both);
      moved_kg.add(make_fit(both, s.limit));
    }
    Sum kg;
    store(s, to, to == 0 ? both : goes, kg);
  }
}

}  // namespace

void climb(Swarm& s, const Streamtubes& tubes, double rises, Sum& moved_kg) {
  if (tubes.strip.empty() || s.kg <= 0) return;
  const double before = s.creaming / tubes.band, after = before + std::min(rises / tubes.band, 1 / tubes.band + 1);
  for (std::size_t i = 0; i < tubes.strip.size(); ++i) {   // half a band early or late, each strip at its own time
    const double turn = 0.5 + 0.6180339887498949 * static_cast<double>(i), offset = turn - std::floor(turn);
    const int turns = static_cast<int>(std::floor(after + offset) - std::floor(before + offset));
    for (int n = 0; n < turns; ++n) climb(s, tubes.strip[i], moved_kg);
  }
  s.creaming = (after - std::floor(after)) * tubes.band;
}

}  // namespace evenstroke
