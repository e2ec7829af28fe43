// What depends on what in the flow equations: Builder::pattern.
#include "evenstroke/network/builder.hpp"

namespace evenstroke {

/// An edge or axis depends on whatever bounds the places it touches, and on the clock; besides on its pilot's place, on the
/// axis that opens or turns it, a spool on the edges whose flow forces it feels, a section on all that drives its shaft.
void Builder::pattern() {
  const int m = static_cast<int>(n.edges.size()), clock = m + static_cast<int>(n.axes.size()), total = clock + 1;
  std::vector<std::vector<int>> touch(n.places.size());
  const auto touches = [&](int p) -> const std::vector<int>& { return touch[static_cast<std::size_t>(p)]; };
  for (int e = 0; e < m; ++e)
    for (const int p : {n.edges[static_cast<std::size_t>(e)].from, n.edges[static_cast<std::size_t>(e)].to})
      if (p >= 0) touch[static_cast<std::size_t>(p)].push_back(e);
  for (std::size_t p = 0; p < n.places.size(); ++p)
    if (n.places[p].axis >= 0) touch[p].push_back(m + n.places[p].axis);
  std::vector<std::pair<int, int>> entries;
  const auto depends = [&](int row, int place) {
    if (place < 0) return;
    entries.emplace_back(row, clock);
    for (const int c : touches(place)) entries.emplace_back(row, c);
  };
  for (std::size_t p = 0; p < n.places.size(); ++p)
    for (const int r : touch[p]) depends(r, static_cast<int>(p));
  entries.emplace_back(clock, clock);
  std::vector<const Edge*> sections;
  for (const Edge& e : n.edges)
    if (e.kind == EdgeKind::section) sections.push_back(&e);
  for (int e = 0; e < m; ++e) {
    const Edge& edge = n.edges[static_cast<std::size_t>(e)];
    if (edge.pilot >= 0) depends(e, edge.pilot);
    if (edge.opening >= 0) entries.emplace_back(e, m + edge.axis);
    if (edge.kind == EdgeKind::section)
      for (const Edge* other : sections)
        for (const int row : {e, m + edge.axis})
          for (const int p : {other->from, other->to}) depends(row, p);
  }
  for (const FlowForce& f : n.flow_forces) {
    const Edge& edge = n.edges[static_cast<std::size_t>(f.edge)];
    for (const int p : {edge.from, edge.to}) depends(m + edge.axis, p);
  }
  for (std::size_t a = 0; a < n.axes.size(); ++a) entries.emplace_back(m + static_cast<int>(a), m + static_cast<int>(a));
  for (int i = 0; i < n.branches(); ++i)
    for (int j = 0; j < n.branches(); ++j) entries.emplace_back(m + i, m + j);
  n.pattern = make_pattern(total, std::move(entries));
}

Pattern inertance_pattern(const Network& n) {
  const int edges = static_cast<int>(n.edges.size()), clock = edges + static_cast<int>(n.axes.size());
  std::vector<std::pair<int, int>> entries;
  for (int i = 0; i < n.pattern.n; ++i)
    for (int s = n.pattern.row_start[static_cast<std::size_t>(i)]; s < n.pattern.row_start[static_cast<std::size_t>(i + 1)]; ++s)
      entries.emplace_back(i, n.pattern.col[static_cast<std::size_t>(s)]);
  int flow = clock;
  for (int e = 0; e < edges; ++e) {
    const Edge& line = n.edges[static_cast<std::size_t>(e)];
    if (line.inertia_kg_per_m4 <= 0) continue;
    ++flow;
    entries.emplace_back(e, flow);
    entries.emplace_back(flow, flow);
    entries.emplace_back(flow, clock);
    for (const int p : {line.from, line.to}) {
      if (p < 0) continue;
      for (int other = 0; other < edges; ++other)
        if (n.edges[static_cast<std::size_t>(other)].from == p || n.edges[static_cast<std::size_t>(other)].to == p) entries.emplace_back(flow, other);
      if (const int axis = n.places[static_cast<std::size_t>(p)].axis; axis >= 0) entries.emplace_back(flow, edges + axis);
    }
  }
  return make_pattern(flow + 1, std::move(entries));
}

}  // namespace evenstroke
