#include "evenstroke/transport/swarm.hpp"

#include <algorithm>
#include <cmath>

#include "evenstroke/transport/cloud_rise.hpp"
#include "evenstroke/transport/swarm_store.hpp"

namespace evenstroke {
namespace {

double speed(const Streamtubes& tubes, std::size_t k, double d_over_bore) {
  if (tubes.share.size() == 1) return 1;   // plug flow
  return tube_speed_ratio(tubes.edge[k], tubes.edge[k + 1], d_over_bore);
}

/// x -> start + stretch x. What flows together in a fast tube is not pressed to nothing: order stays.
struct Map {
  double start, stretch;
  double operator()(double x) const { return start + stretch * x; }
};
Map map_of(const SwarmMotion& m, double u) {
  constexpr double least = 1e-3;
  const double stretch = 1 + u * (m.far - m.near);
  if (stretch >= least) return {u * m.near, stretch};
  return {0.5 * (1 + u * (m.near + m.far) - least), least};
}

/// Share of a cloud that is below zero; round-off neither takes nor leaves clouds of its own.
double below_zero(double from, double to) {
  if (from >= 0) return 0;
  const double share = to > 0 ? -from / (to - from) : 1.0;
  return share < 1e-12 ? 0.0 : share > 1 - 1e-12 ? 1.0 : share;
}

/// Cuts off what is beyond the ends that flow out; what is beyond an end that does not stays at it.
struct Cut {
  bool near_out, far_out;
  Sum near_kg, far_kg;
  Cloud operator()(const Cloud& c) {
    const double near = near_out ? c.kg * below_zero(c.from, c.to) : 0.0;
    double far = far_out ? c.kg * below_zero(1 - c.to, 1 - c.from) : 0.0, rest = c.kg - near - far;
    if (rest <= 1e-12 * c.kg && rest != 0 && far > 0) far += rest, rest = 0;
    near_kg.add(near);
    far_kg.add(far);
    return {std::clamp(c.from, 0.0, 1.0), std::clamp(c.to, 0.0, 1.0), rest};
  }
};

}  // namespace

Passed move(Swarm& s, const Streamtubes& tubes, const SwarmMotion& m, const Profile& profile, double length_m,
            double in_near_kg, double in_far_kg, double* merged_kg) {
  if (s.kg <= 0 && in_near_kg <= 0 && in_far_kg <= 0) return {};
  make_places(s, tubes);
  const std::size_t n = tubes.share.size();
  double flow = 0, moved = 0, near_left = in_near_kg, far_left = in_far_kg;
  for (std::size_t k = 0; k < n; ++k) flow += tubes.share[k] * speed(tubes, k, m.d_over_bore);
  const Rise rise = rise_along(profile, length_m, m.rise);
  Cut cut{m.near < 0, m.far > 0, {}, {}};
  Clouds l, next;
  for (std::size_t k = 0; k < n; ++k) {
    const double u = speed(tubes, k, m.d_over_bore), part = tubes.share[k] * u / flow;
    const Map map = map_of(m, u);
    const double near_kg = k + 1 < n ? in_near_kg * part : near_left, far_kg = k + 1 < n ? in_far_kg * part : far_left;
    near_left -= near_kg;
    far_left -= far_kg;
    load(l, s, k);
    lift(l, rise);
    next.count = 0;
    const auto lay = [&](const Cloud& c) {
      const Cloud stays = cut(c);
      next.add(stays.from, stays.to, stays.kg);
    };
    if (map(0) > 0 && near_kg > 0) lay({0, map(0), near_kg});
    for (int i = 0; i < l.count; ++i) lay({map(l[i].from), map(l[i].to), l[i].kg});
    if (map(1) < 1 && far_kg > 0) lay({map(1), 1, far_kg});
    if (map(0) <= 0) overlay(next, 0, 0, near_kg);
    if (map(1) >= 1) overlay(next, 1, 1, far_kg);
    moved += store(s, k, next);
  }
  if (m.creamed > 0) moved += cream(s, m.creamed);
  recount(s);
  if (merged_kg) *merged_kg += moved;
  return {cut.near_kg.value(), cut.far_kg.value()};
}

Passed peek(const Swarm& s, const Streamtubes& tubes, const SwarmMotion& m) {
  if (s.kg <= 0 || s.count.size() != tubes.share.size()) return {};
  Cut cut{m.near < 0, m.far > 0, {}, {}};
  for (std::size_t k = 0; k < s.count.size(); ++k) {
    const Map map = map_of(m, speed(tubes, k, m.d_over_bore));
    for (int i = 0; i < s.count[k]; ++i) {
      const Cloud& c = clouds_of(s, k)[i];
      cut({map(c.from), map(c.to), c.kg});
    }
  }
  return {cut.near_kg.value(), cut.far_kg.value()};
}

}  // namespace evenstroke
