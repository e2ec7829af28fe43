#include <algorithm>
#include <array>

#include "evenstroke/transport/swarm_store.hpp"

namespace evenstroke {
namespace {

/// What sinks to the wall from all tubes, gathered in cells of the line; a cell that is not full keeps its extent.
struct Gathered {
  static constexpr int cells = 2 * Swarm::capacity;
  std::array<Cloud, cells> cell;
  void add(double from, double to, double kg) {
    const auto first = static_cast<int>(from * cells);
    for (int i = std::min(first, cells - 1); i < cells; ++i) {
      const double a = std::max(from, i / double{cells}), b = std::min(to, (i + 1) / double{cells});
      const bool last = to <= (i + 1) / double{cells} || i + 1 == cells;
      const double part = last ? kg : std::min(kg, kg * ((b - a) / (to - a)));
      Cloud& c = cell[static_cast<std::size_t>(i)];
      c = c.kg > 0 ? Cloud{std::min(c.from, a), std::max(c.to, b), c.kg + part} : Cloud{a, b, part};
      kg -= part;
      if (last) return;
    }
  }
};

}  // namespace

double cream(Swarm& s, double share) {
  Gathered g;
  for (std::size_t k = 1; k < s.count.size(); ++k)
    for (int i = 0; i < s.count[k]; ++i) {
      Cloud& c = clouds_of(s, k)[i];
      const double part = c.kg * share;
      c.kg -= part;
      g.add(c.from, c.to, part);
    }
  Clouds sunk, wall;
  for (const Cloud& c : g.cell) sunk.add(c.from, c.to, c.kg);
  const double moved = tidy(sunk);
  load(wall, s, 0);
  for (int i = 0; i < sunk.count; ++i)
    overlay(wall, sunk[i].from, sunk[i].to, sunk[i].kg);
  return moved + store(s, 0, wall);
}

}  // namespace evenstroke
