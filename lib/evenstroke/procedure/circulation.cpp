#include "evenstroke/procedure/circulation.hpp"

#include <vector>

namespace evenstroke {
namespace {

bool leads(const Edge& e, const Drive& d) {
  if (e.kind == EdgeKind::relief || e.kind == EdgeKind::leak || e.kind == EdgeKind::seal) return false;
  switch (e.gate) {
    case Switch::always: return true;
    case Switch::motor: return false;             // the pump itself
    case Switch::extend: return d.extend;
    case Switch::retract: return d.retract;
    case Switch::bypass: break;
  }
  return d.bypass_open;
}

}  // namespace

std::string dead_ends(const Network& n, const Drive& d) {
  std::vector<int> reached;
  std::vector<char> known(n.places.size(), 0), leads_on(n.places.size(), 0);
  for (const Edge& e : n.edges)
    if (e.kind == EdgeKind::pump) reached.push_back(e.to);
  for (const int p : reached) known[static_cast<std::size_t>(p)] = 1;
  for (std::size_t i = 0; i < reached.size(); ++i)
    for (const Edge& e : n.edges) {
      if (!leads(e, d) || (e.from != reached[i] && e.to != reached[i])) continue;
      if (e.kind == EdgeKind::counterbalance && e.from != reached[i]) continue;   // a check: one way only
      const int other = e.from == reached[i] ? e.to : e.from;
      if (other < 0) return "";
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
