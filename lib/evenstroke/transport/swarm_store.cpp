#include "evenstroke/transport/swarm_store.hpp"

#include <algorithm>

namespace evenstroke {

void load(Clouds& l, const Swarm& s, std::size_t k) {
  l.count = s.count[k];
  std::copy_n(clouds_of(s, k), l.count, l.cloud.begin());
}

void store(Swarm& s, std::size_t k, const Clouds& l, Sum& kg) {
  Cloud* to = clouds_of(s, k);
  Sum sum = kg;   // a copy stays in registers
  for (const Cloud& c : l) {
    if (c.kg <= 0) continue;
    *to++ = c;
    sum.add(c.kg);
  }
  kg = sum;
  s.count[k] = static_cast<int>(to - clouds_of(s, k));
}

void make_places(Swarm& s, const Streamtubes& tubes) {
  if (s.count.size() == tubes.share.size()) return;
  if (s.kg > 0) return regrid(s, tubes);
  s.cloud.assign(tubes.share.size() * Swarm::capacity, {});
  s.count.assign(tubes.share.size(), 0);
}

void fill(Swarm& s, const Streamtubes& tubes, const Clouds& pieces) {
  make_places(s, tubes);
  Clouds there, laid, both, left = pieces;
  Sum sum;
  for (std::size_t k = 0; k < s.count.size(); ++k) {
    laid.count = 0;
    for (int i = 0; i < pieces.count; ++i) {
      const double part = k + 1 < s.count.size() ? pieces[i].kg * tubes.share[k] : left[i].kg;
      left[i].kg -= part;
      laid.lay({pieces[i].from, pieces[i].to, part});
    }
    load(there, s, k);
    overlay(there, laid, both);
    make_fit(both, s.limit);
    store(s, k, both, sum);
  }
  s.kg = sum.value();
}

void fill(Swarm& s, const Streamtubes& tubes, double from, double to, double kg) {
  Clouds piece;
  piece.lay({std::clamp(from, 0.0, 1.0), std::clamp(to, 0.0, 1.0), kg});
  if (piece.count > 0) fill(s, tubes, piece);
}

void regrid(Swarm& s, const Streamtubes& tubes) {
  if (s.count.size() == tubes.share.size()) return;
  Swarm old;
  std::swap(old, s);
  s.limit = old.limit;
  make_places(s, tubes);
  if (old.kg <= 0) return;
  s.creaming = old.creaming;
  const std::vector<double> was = make_streamtubes(static_cast<int>(old.count.size())).edge;
  Clouds all, part, both;
  Sum sum;
  for (std::size_t k = 0; k < s.count.size(); ++k) {
    all.count = 0;
    for (std::size_t j = 0; j < old.count.size(); ++j) {
      const double shared = std::min(tubes.edge[k + 1], was[j + 1]) - std::max(tubes.edge[k], was[j]);
      if (shared <= 0) continue;
      load(part, old, j);
      for (int i = 0; i < part.count; ++i) part[i].kg *= shared / (was[j + 1] - was[j]);
      overlay(all, part, both);
      make_fit(both, s.limit);
      all = both;
    }
    store(s, k, all, sum);
  }
  s.kg = sum.value();
}

}  // namespace evenstroke
