#include "evenstroke/transport/shut_in.hpp"

#include <numeric>

#include "evenstroke/air/solution.hpp"

namespace evenstroke {

ShutIn::ShutIn(const Network& n) : net_(n), parent_(n.places.size() + 1), f_(n.places.size(), 1.0) {
  for (auto* v : {&thirst_m3_, &gives_m3_}) v->assign(n.places.size() + 1, 0.0);
}

std::size_t ShutIn::root(std::size_t place) {
  while (parent_[place] != place) place = parent_[place] = parent_[parent_[place]];
  return place;
}

void ShutIn::start(const Drive& d) {
  std::iota(parent_.begin(), parent_.end(), std::size_t{0});
  const std::size_t outside = net_.places.size();
  for (const Edge& e : net_.edges) {
    const bool passed = e.opening >= 0 && e.axis < net_.branches();   // a piston's passage is shut nearly all the way
    const bool leads = (e.kind == EdgeKind::orifice && !passed) || e.kind == EdgeKind::line || e.kind == EdgeKind::counterbalance ||
                       e.kind == EdgeKind::section || e.kind == EdgeKind::released;
    if (!leads || !is_open(e.gate, d)) continue;
    const auto end = [&](int place) { return place < 0 ? outside : static_cast<std::size_t>(place); };
    parent_[root(end(e.from))] = root(end(e.to));
  }
}

void ShutIn::look(const Contents& c) {
  const std::size_t outside = net_.places.size();
  const double takes = ostwald(net_.rig.air.bunsen, net_.rig.oil.temperature_k);
  thirst_m3_.assign(thirst_m3_.size(), 0.0);
  gives_m3_.assign(gives_m3_.size(), 0.0);
  constexpr double endless_m3 = 1e6;
  gives_m3_[root(outside)] = endless_m3;
  for (std::size_t p = 0; p < net_.places.size(); ++p) {
    const Place& place = net_.places[p];
    const double pressure = c.pressure_pa_abs[p];
    const Masses m = held(c, static_cast<int>(p));
    const double oil_m3 = m.oil_kg * relative_volume(net_.liquid, pressure) / net_.rho0_kg_per_m3;
    const double full_kg = dissolved_at_kg_per_m3(net_.rig.air.bunsen, pressure) * m.oil_kg / net_.rho0_kg_per_m3;
    const std::size_t r = root(p);
    if (m.bubbles_kg() > 0 || m.dissolved_kg > full_kg) thirst_m3_[r] += takes * oil_m3;
    gives_m3_[r] += gas_j(net_, c, static_cast<int>(p)) / pressure +
                    pressure * (oil_m3 / bulk_modulus(net_.liquid, pressure) + place.wall_m3_per_pa);
    if (place.axis >= 0 && c.motion[static_cast<std::size_t>(place.axis)] != 0) gives_m3_[r] = endless_m3;
  }
  for (std::size_t p = 0; p < net_.places.size(); ++p)
    f_[p] = gives_m3_[root(p)] > 0 ? 1 + thirst_m3_[root(p)] / gives_m3_[root(p)] : 1.0;
}

}  // namespace evenstroke
