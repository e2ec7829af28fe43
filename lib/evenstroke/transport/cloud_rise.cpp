#include "evenstroke/transport/cloud_rise.hpp"

#include <algorithm>
#include <cmath>

namespace evenstroke {
namespace {

/// Way of a point of one part: to the part's end, and on into the other part unless that does not rise the same way.
struct Way {
  double by, end, beyond, room;         ///< speed, where this part ends, speed behind it (0: stops), how far that goes

  Way(const Rise& r, int part) : by(r.by[part == 0 ? 0 : 1]), end(0), beyond(0), room(0) {
    const bool inward = (part == 0) == (by > 0);   // towards the bend
    end = inward ? r.bend : (by > 0 ? 1.0 : 0.0);
    const double other = r.by[part == 0 ? 1 : 0];
    if (inward && other * by > 0) beyond = other, room = by > 0 ? 1 - r.bend : r.bend;
  }
  double until_end(double x) const { return (end - x) / by; }          ///< in quanta
  double until_stop(double x) const { return until_end(x) + (beyond != 0 ? room / std::abs(beyond) : 0.0); }
  double stop() const { return beyond != 0 ? end + std::copysign(room, by) : end; }
  double operator()(double x) const {
    const double t = until_end(x);
    if (t >= 1) return x + by;
    const double on = end + (1 - t) * beyond;
    return by > 0 ? std::min(on, stop()) : std::max(on, stop());
  }
};

void lift(Clouds& out, const Cloud& c, const Rise& r, int part) {
  if (c.kg <= 0) return;
  const Way way(r, part);
  if (way.by == 0) return out.add(c.from, c.to, c.kg);
  const double first = way.until_stop(way.by > 0 ? c.to : c.from), last = way.until_stop(way.by > 0 ? c.from : c.to);
  if (first >= 1) return out.add(way(c.from), way(c.to), c.kg);
  const double stopped = last > 1 ? c.kg * ((1 - first) / (last - first)) : c.kg;
  const double moves = c.kg - stopped, z = way.stop();
  if (way.by > 0) out.add(way(c.from), z, moves);
  out.add(z, z, stopped);
  if (way.by < 0) out.add(z, way(c.to), moves);
}

}  // namespace

Rise rise_along(const Profile& p, double length_m, double rise) {
  if (rise == 0) return {};
  if (p.peak_share <= 0 || p.peak_share >= 1) {
    const double by = rise * p.sin_incline(0.5, length_m);
    return {1, {by, by}};
  }
  const double before = p.sin_incline(0.5 * p.peak_share, length_m);
  const double after = p.sin_incline(0.5 * (1 + p.peak_share), length_m);
  return {p.peak_share, {rise * before, rise * after}};
}

void lift(Clouds& l, const Rise& r) {
  if (!r.any()) return;
  Clouds out;
  for (int i = 0; i < l.count; ++i) {
    const Cloud& c = l[i];
    const double first = c.to <= r.bend ? c.kg : c.from >= r.bend ? 0.0 : c.kg * ((r.bend - c.from) / (c.to - c.from));
    lift(out, {c.from, std::min(c.to, r.bend), first}, r, 0);
    lift(out, {std::max(c.from, r.bend), c.to, c.kg - first}, r, 1);
  }
  l = out;
}

}  // namespace evenstroke
