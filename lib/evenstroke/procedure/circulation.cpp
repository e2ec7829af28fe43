#include "evenstroke/procedure/circulation.hpp"

#include <vector>

namespace evenstroke {
namespace {

bool leads(const Edge& e, const Drive& d) {
  if (e.kind == EdgeKind::relief || e.kind == EdgeKind::leak || e.kind == EdgeKind::seal || e.kind == EdgeKind::pump) return false;
  const bool lock = e.name == "valve.a_check" || e.name == "valve.b_check";
  if ((e.kind == EdgeKind::spill && !lock) || (e.kind == EdgeKind::released && e.to < 0)) return false;   // not for the pump's own flow
  switch (e.gate) {
    case Switch::extend: return d.extend;
    case Switch::retract: return d.retract;
    case Switch::bypass: return d.bypass_open || d.bypass_rad > 0;
    case Switch::always:
    case Switch::motor:
    case Switch::motor_extend:
    case Switch::motor_retract:
    case Switch::standing: break;
  }
  return true;
}

}  // namespace

std::string dead_ends(const Network& n, const Drive& d) {
  std::vector<int> reached;
  std::vector<char> known(n.places.size(), 0), leads_on(n.places.size(), 0);
  int inlet = reservoir_place;
  for (const Edge& e : n.edges)
    if (e.kind == EdgeKind::pump && (e.gate != Switch::motor_extend || d.extend) && (e.gate != Switch::motor_retract || d.retract)) {
      reached.push_back(e.to);
      inlet = e.from;
    }
  for (const int p : reached) known[static_cast<std::size_t>(p)] = 1;
  for (std::size_t i = 0; i < reached.size(); ++i)
    for (const Edge& e : n.edges) {
      if (!leads(e, d) || (e.from != reached[i] && e.to != reached[i])) continue;
      const bool one_way = e.kind == EdgeKind::counterbalance || e.kind == EdgeKind::spill;
      if (one_way && e.from != reached[i]) continue;       // a check
      const int other = e.from == reached[i] ? e.to : e.from;
      if (other < 0 || other == inlet) return "";
      if (known[static_cast<std::size_t>(other)]) continue;
      known[static_cast<std::size_t>(other)] = 1;
      leads_on[static_cast<std::size_t>(reached[i])] = 1;
      reached.push_back(other);
    }
  std::string ends;
  for (const int p : reached)
    if (!leads_on[static_cast<std::size_t>(p)]) ends += (ends.empty() ? "" : ", ") + n.places[static_cast<std::size_t>(p)].name;
  return ends;
}

}  // namespace evenstroke
