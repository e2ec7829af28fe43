#include "evenstroke/transport/swarm_store.hpp"

#include <algorithm>

namespace evenstroke {

void load(Clouds& l, const Swarm& s, std::size_t k) {
  l.count = s.count[k];
  std::copy_n(clouds_of(s, k), l.count, l.cloud.begin());
}

double store(Swarm& s, std::size_t k, Clouds& l) {
  const double moved = tidy(l);
  s.count[k] = l.count;
  std::copy_n(l.cloud.begin(), l.count, clouds_of(s, k));
  return moved;
}

void make_places(Swarm& s, const Streamtubes& tubes) {
  if (s.count.size() == tubes.share.size()) return;
  if (s.kg > 0) return regrid(s, tubes);
  s.cloud.assign(tubes.share.size() * Swarm::capacity, {});
  s.count.assign(tubes.share.size(), 0);
}

void fill(Swarm& s, const Streamtubes& tubes, double from, double to, double kg) {
  if (kg <= 0) return;
  make_places(s, tubes);
  Clouds l;
  double left = kg;
  for (std::size_t k = 0; k < s.count.size(); ++k) {
    const double part = k + 1 < s.count.size() ? kg * tubes.share[k] : left;
    left -= part;
    load(l, s, k);
    overlay(l, std::clamp(from, 0.0, 1.0), std::clamp(to, 0.0, 1.0), part);
    store(s, k, l);
  }
  recount(s);
}

void regrid(Swarm& s, const Streamtubes& tubes) {
  if (s.count.size() == tubes.share.size()) return;
  Swarm old;
  std::swap(old, s);
  make_places(s, tubes);
  if (old.kg <= 0) return;
  const std::vector<double> was = make_streamtubes(static_cast<int>(old.count.size())).edge;
  Clouds l;
  for (std::size_t k = 0; k < s.count.size(); ++k) {
    l.count = 0;
    for (std::size_t j = 0; j < old.count.size(); ++j) {
      const double both = std::min(tubes.edge[k + 1], was[j + 1]) - std::max(tubes.edge[k], was[j]);
      for (int i = 0; both > 0 && i < old.count[j]; ++i) {
        const Cloud& c = clouds_of(old, j)[i];
        overlay(l, c.from, c.to, c.kg * (both / (was[j + 1] - was[j])));
        tidy(l);
      }
    }
    store(s, k, l);
  }
  recount(s);
}

void recount(Swarm& s) {
  Sum sum;
  for (std::size_t k = 0; k < s.count.size(); ++k) {
    Cloud* c = clouds_of(s, k);
    s.count[k] = static_cast<int>(std::remove_if(c, c + s.count[k], [](const Cloud& x) { return x.kg <= 0; }) - c);
    for (int i = 0; i < s.count[k]; ++i) sum.add(c[i].kg);
  }
  s.kg = sum.value();
}

}  // namespace evenstroke
