#include "evenstroke/network/equal_branches.hpp"

#include <algorithm>
#include <string>

namespace evenstroke {
namespace {

bool belongs(const std::string& name, const std::string& branch) {
  return name.size() > branch.size() && name[branch.size()] == '.' && name.compare(0, branch.size(), branch) == 0;
}

/// Indices of a branch's edges, then of its rod behind all edges.
std::vector<int> states(const Network& n, const std::string& branch) {
  std::vector<int> s;
  for (std::size_t e = 0; e < n.edges.size(); ++e)
    if (belongs(n.edges[e].name, branch)) s.push_back(static_cast<int>(e));
  for (std::size_t a = 0; a < n.axes.size(); ++a)
    if (belongs(n.axes[a].name, branch)) s.push_back(static_cast<int>(n.edges.size() + a));
  return s;
}

bool connected_alike(const Network& n, const std::vector<int>& a, const std::vector<int>& b) {
  if (a.size() != b.size()) return false;
  for (std::size_t i = 0; i < a.size(); ++i) {
    const auto x = static_cast<std::size_t>(a[i]), y = static_cast<std::size_t>(b[i]);
    if (x >= n.edges.size()) {
      if (y < n.edges.size() || n.axes[x - n.edges.size()].hand_n != n.axes[y - n.edges.size()].hand_n) return false;
      continue;
    }
    if (y >= n.edges.size()) return false;
    const Edge &e = n.edges[x], &f = n.edges[y];
    const auto outside = [](int place) { return std::min(place, 0); };
    if (e.kind != f.kind || e.gate != f.gate || outside(e.from) != outside(f.from) || outside(e.to) != outside(f.to)) return false;
  }
  return true;
}

}  // namespace

std::vector<double> branch_key(const Rig& rig, const Contents& c, std::size_t branch) {
  const Branch& b = rig.branches[branch];
  const std::string path = "branch." + b.name;
  std::vector<double> key = {static_load_n(rig.panel, static_cast<int>(rig.branches.size()))[branch],
                             static_cast<double>(b.cylinder.attitude)};
  const auto add = [&](std::initializer_list<double> more) { key.insert(key.end(), more); };
  if (rig.synchroniser.kind == SynchroniserKind::series_pair) key.insert(key.begin(), static_cast<double>(branch));   // a chain has an order
  for (const RigField& f : rig_fields(rig))
    if (belongs(f.path, path)) key.push_back(f.value);
  for (std::size_t p = 0; p < c.place.size(); ++p) {
    if (!belongs(c.place[p], b.name)) continue;
    const Masses m = held(c, static_cast<int>(p));
    add({m.oil_kg, m.pocket_kg, m.coarse_kg, m.fine_kg, m.dissolved_kg, c.pressure_pa_abs[p], c.pocket_k[p]});
    const LineContents& l = c.line[p];
    for (int i = 0; i < l.queue.count; ++i)
      add({l.queue[i].oil_kg, l.queue[i].gas_kg, l.queue[i].dissolved_kg, l.queue[i].slug ? 1.0 : 0.0});
    for (const Swarm& s : l.bubbles) add({s.creaming});
    for (const Swarm& s : l.bubbles)
      for (std::size_t k = 0; k < s.count.size(); ++k)
        for (int i = 0; i < s.count[k]; ++i) {
          const Cloud& cloud = s.cloud[k * Swarm::capacity + static_cast<std::size_t>(i)];
          add({cloud.from, cloud.to, cloud.kg});
        }
  }
  for (std::size_t a = 0; a < c.axis.size(); ++a)
    if (belongs(c.axis[a], b.name)) add({c.position_m[a], static_cast<double>(c.motion[a]), c.rest_s[a]});
  return key;
}

std::vector<std::vector<int>> equal_states(const Network& n, const Contents& c) {
  std::vector<std::vector<double>> key;
  std::vector<std::vector<int>> own, groups;
  for (std::size_t b = 0; b < n.rig.branches.size(); ++b) {
    key.push_back(branch_key(n.rig, c, b));
    own.push_back(states(n, n.rig.branches[b].name));
  }
  std::vector<char> grouped(key.size(), 0);
  for (std::size_t b = 0; b < key.size(); ++b) {
    std::vector<std::size_t> alike;
    for (std::size_t other = b; other < key.size(); ++other)
      if (!grouped[other] && key[other] == key[b] && connected_alike(n, own[b], own[other])) alike.push_back(other);
    for (const std::size_t other : alike) grouped[other] = 1;
    if (alike.size() < 2) continue;
    for (std::size_t i = 0; i < own[b].size(); ++i) {
      groups.emplace_back();
      for (const std::size_t other : alike) groups.back().push_back(own[other][i]);
    }
  }
  return groups;
}

}  // namespace evenstroke
