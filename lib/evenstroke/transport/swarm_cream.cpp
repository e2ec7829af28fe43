#include <algorithm>

#include "evenstroke/transport/swarm_store.hpp"

namespace evenstroke {

double due_to_cream(Swarm& s, double creamed) {
  constexpr double from = 0.01;   // most quanta are so short that theirs is tiny, and to move it costs as much as 1 %
  if (s.count.size() < 2) return 0;
  const double share = s.creaming + creamed * (1 - s.creaming);
  s.creaming = share < from ? share : 0.0;
  return share < from ? 0.0 : share;
}

void Sunk::take(Clouds& l, double share) {
  for (int i = 0; i < l.count; ++i) {
    const double part = l[i].kg * share;
    l[i].kg -= part;
    add({l[i].from, l[i].to, part});
  }
}

void Sunk::add(const Cloud& c) {
  constexpr double width = 1.0 / cells;
  const int first = std::min(static_cast<int>(c.from * cells), cells - 1);
  const auto put = [&](int i, double from, double to, double kg) {
    Cloud& in = cell_[static_cast<std::size_t>(i)];
    in = in.kg > 0 ? Cloud{std::min(in.from, from), std::max(in.to, to), in.kg + kg} : Cloud{from, to, kg};
  };
  double from = c.from, left = c.kg;
  if (c.to > (first + 1) * width && first + 1 < cells) {
    const double density = c.kg / (c.to - c.from);
    const int last = std::min(static_cast<int>(c.to * cells), cells - 1);
    for (int i = first; i < last && (i + 1) * width < c.to; ++i) {
      const double to = (i + 1) * width, part = std::min(left, density * (to - from));
      put(i, from, to, part);
      left -= part;
      from = to;
    }
  }
  put(std::min(static_cast<int>(from * cells), cells - 1), from, c.to, left);
}

Clouds Sunk::clouds() const {
  Clouds all;
  for (const Cloud& c : cell_) all.lay(c);
  return all;
}

}  // namespace evenstroke
