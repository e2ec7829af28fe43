#include "evenstroke/transport/clouds.hpp"

#include <limits>

namespace evenstroke {
namespace {

/// Mass that changes place when two neighbours become one even cloud [kg].
double moved_by_joining(const Cloud& a, const Cloud& b) {
  const double length = b.to - a.from, a_length = a.to - a.from, b_length = b.to - b.from;
  const double from_a = a.kg * (length - a_length) - b.kg * a_length;   // times length; negative: gets
  const double from_b = b.kg * (length - b_length) - a.kg * b_length;
  return length > 0 ? 0.5 * (from_a + std::abs(from_a) + from_b + std::abs(from_b)) / length : 0.0;
}

/// Goes through clouds in order, and can stop within one.
struct Reader {
  const Clouds& all;
  int next = 0;
  Cloud at{};

  explicit Reader(const Clouds& l) : all(l) { step(); }
  bool done() const { return next > all.count; }
  void step() {
    if (next < all.count) at = all[next];
    ++next;
  }
  Cloud whole() {
    const Cloud c = at;
    step();
    return c;
  }
  Cloud up_to(double x) {                  // what is left of it gets the remainder
    if (at.to - x <= Clouds::hair) return whole();
    const Cloud c{at.from, x, at.kg * ((x - at.from) / (at.to - at.from))};
    at.from = x;
    at.kg -= c.kg;
    return c;
  }
};

}  // namespace

double make_fit(Clouds& l, int limit) {
  if (l.count <= limit) return 0;
  // In a tube left full, every sliver that comes in would be joined with the same neighbour: each time that moves next
  // to nothing, in the end a whole front. In a place of their own they are alike, and one cloud.
  const int leaves = limit - 1;
  constexpr double gone = std::numeric_limits<double>::infinity();
  constexpr std::size_t room = std::tuple_size_v<decltype(l.cloud)>;
  std::array<double, room + 3> cost;                  // of joining with the next
  std::array<std::size_t, room> next, before;         // neighbours that are still there
  std::array<Cloud, room>& c = l.cloud;
  const auto n = static_cast<std::size_t>(l.count);
  Sum moved;
  double kg = 0;
  for (std::size_t i = 0; i < n; ++i) {
    kg += c[i].kg;
    next[i] = i + 1;
    before[i] = i - 1;
    cost[i] = i + 1 < n ? moved_by_joining(c[i], c[i + 1]) : gone;
  }
  std::fill_n(cost.begin() + l.count, 3, gone);
  const double hair_kg = 1e-12 * kg;
  for (; l.count > leaves; --l.count) {
    std::array<double, 4> of{gone, gone, gone, gone};   // four at a time: a comparison need not wait for the last
    for (std::size_t i = 0; i < n; i += 4)
      for (std::size_t j = 0; j < 4; ++j) of[j] = std::min(of[j], cost[i + j]);
    const double least = std::min(std::min(of[0], of[1]), std::min(of[2], of[3]));
    const double about = least * (1 + 1e-6) + hair_kg;
    std::size_t best = 0;                             // the first of those that only round-off tells apart
    while (cost[best] > about) ++best;
    const std::size_t with = next[best], behind = next[with];
    moved.add(cost[best]);
    c[best] = {c[best].from, std::max(c[best].to, c[with].to), c[best].kg + c[with].kg};
    cost[with] = gone;
    next[best] = behind;
    if (behind < n) before[behind] = best;
    cost[best] = behind < n ? moved_by_joining(c[best], c[behind]) : gone;
    if (best > 0) cost[before[best]] = moved_by_joining(c[before[best]], c[best]);
  }
  int kept = 0;
  for (std::size_t i = 0; i < n; i = next[i]) l[kept++] = c[i];
  return moved.value();
}

void overlay(const Clouds& one, const Clouds& other, Clouds& out) {
  out.count = 0;
  Reader a(one), b(other);
  while (!a.done() && !b.done()) {
    if (a.at.to - b.at.from <= Clouds::hair) out.lay(a.whole());
    else if (b.at.to - a.at.from <= Clouds::hair) out.lay(b.whole());
    else if (b.at.from - a.at.from > Clouds::hair) out.lay(a.up_to(b.at.from));
    else if (a.at.from - b.at.from > Clouds::hair) out.lay(b.up_to(a.at.from));
    else {
      const double end = std::min(a.at.to, b.at.to);
      const Cloud x = a.up_to(end), y = b.up_to(end);
      out.lay({std::min(x.from, y.from), std::max(x.to, y.to), x.kg + y.kg});
    }
  }
  while (!a.done()) out.lay(a.whole());
  while (!b.done()) out.lay(b.whole());
}

}  // namespace evenstroke
