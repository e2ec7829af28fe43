#include <algorithm>

#include "evenstroke/air/bubble.hpp"
#include "evenstroke/transport/swarm_store.hpp"

namespace evenstroke {

void freshen(Swarm& s, double added_kg) {
  if (added_kg <= 0 || s.count.empty() || s.risen + s.creaming <= 0) return;
  double off_wall_kg = s.kg;
  for (int i = 0; i < s.count[0]; ++i) off_wall_kg -= clouds_of(s, 0)[i].kg;
  const double old = std::max(0.0, off_wall_kg) / (std::max(0.0, off_wall_kg) + added_kg);
  s.risen *= old;
  s.creaming *= old;
}

double due_to_cream(Swarm& s, double rises) {
  constexpr double from = 0.01;   // most quanta are so short that theirs is tiny, and to move it costs as much as 1 %
  if (s.count.size() < 2) return 0;
  s.creaming += rises;
  const double before = suspended_share(s.risen), after = suspended_share(s.risen + s.creaming);
  const double share = before > 0 ? 1 - after / before : 1.0;
  if (share < from) return 0;
  s.risen = std::min(1.0, s.risen + s.creaming);
  s.creaming = 0;
  return share;
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
