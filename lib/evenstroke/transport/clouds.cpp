#include "evenstroke/transport/clouds.hpp"

#include <algorithm>

namespace evenstroke {
namespace {

constexpr double hair = 1e-12;   // of a line's volume: shorter pieces are round-off

void join(Clouds& l, int i) {
  l[i] = {l[i].from, std::max(l[i].to, l[i + 1].to), l[i].kg + l[i + 1].kg};
  --l.count;
  for (int j = i + 1; j < l.count; ++j) l[j] = l[j + 1];
}

void replace(Clouds& l, const Clouds& by) {
  std::copy_n(by.cloud.begin(), by.count, l.cloud.begin());
  l.count = by.count;
}

void pile(Clouds& l, double where, double kg) {
  Clouds out;
  bool laid = false;
  for (int i = 0; i < l.count; ++i) {
    const Cloud& c = l[i];
    if (!laid && c.to > where) {
      const double part = c.from < where ? c.kg * ((where - c.from) / (c.to - c.from)) : 0.0;
      out.add(c.from, where, part);
      out.add(where, where, kg);
      out.add(std::max(c.from, where), c.to, c.kg - part);
      laid = true;
    } else {
      out.add(c.from, c.to, c.kg);
    }
  }
  if (!laid) out.add(where, where, kg);
  replace(l, out);
}

}  // namespace

double moved_by_joining(const Cloud& a, const Cloud& b) {
  const double length = b.to - a.from;
  if (length <= 0) return 0;
  const double density = (a.kg + b.kg) / length;
  return std::max(0.0, a.kg - density * (a.to - a.from)) + std::max(0.0, b.kg - density * (b.to - b.from));
}

double tidy(Clouds& l) {
  Sum mass, moved;
  for (int i = 0; i < l.count; ++i) mass.add(l[i].kg);
  for (int i = 0; i + 1 < l.count;) {
    const bool touch = l[i + 1].from - l[i].to <= hair;
    const bool alike = touch && moved_by_joining(l[i], l[i + 1]) <= 1e-9 * (l[i].kg + l[i + 1].kg);
    if (alike) join(l, i);
    else ++i;
  }
  while (l.count > Swarm::capacity) {
    int best = 0;
    double least = moved_by_joining(l[0], l[1]);
    for (int i = 1; i + 1 < l.count; ++i) {   // clearly less, so that round-off decides nothing
      const double m = moved_by_joining(l[i], l[i + 1]);
      if (m < least * (1 - 1e-6) - 1e-12 * mass.value()) best = i, least = m;
    }
    moved.add(least);
    join(l, best);
  }
  return moved.value();
}

void overlay(Clouds& l, double from, double to, double kg) {
  if (kg <= 0) return;
  if (to - from <= hair) return pile(l, from, kg);
  Clouds out;
  const double density = kg / (to - from);
  double at = from, left = kg;
  int last = 0;                                       // the piece that takes the remainder
  const auto lay = [&](double a, double b, double own_kg) {
    const double part = std::min(left, density * (b - a));
    left -= part;
    last = out.count;
    out.add(a, b, own_kg + part);
    at = std::max(at, b);
  };
  for (int i = 0; i < l.count; ++i) {
    const Cloud& c = l[i];
    if (c.from - at > hair && at < to) lay(at, std::min(c.from, to), 0);
    const double length = c.to - c.from;
    const double a = from - c.from > hair ? std::min(from, c.to) : c.from;
    const double b = c.to - to > hair ? std::max(to, c.from) : c.to;
    if (length <= 0 || b - a <= hair) {               // a pile, or beside the stretch
      out.add(c.from, c.to, c.kg);
      continue;
    }
    const double before = c.kg * ((a - c.from) / length), behind = c.kg * ((c.to - b) / length);
    out.add(c.from, a, before);
    lay(a, b, c.kg - before - behind);
    out.add(b, c.to, behind);
  }
  if (to - at > hair) lay(at, to, 0);
  out[last].kg += left;
  replace(l, out);
}

}  // namespace evenstroke
