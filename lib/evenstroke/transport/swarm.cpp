#include "evenstroke/transport/swarm.hpp"

#include <algorithm>

#include "evenstroke/transport/cloud_rise.hpp"
#include "evenstroke/transport/swarm_store.hpp"

namespace evenstroke {
namespace {

/// Speed of a tube over the mean.
struct Speed {
  const Streamtubes& tubes;
  SpeedProfile profile;
  double operator()(std::size_t k) const { return tubes.share.size() == 1 ? 1.0 : profile.at(tubes.w[k]); }   // one tube: plug flow
};

/// x -> start + stretch x. What flows together in a fast tube is not pressed to nothing: order stays.
struct Map {
  double start, stretch, speed;
  const SlugPath* slugs;
  double operator()(double x) const { return slugs ? (*slugs)(x, speed) : start + stretch * x; }
  Cloud operator()(const Cloud& c) const { return {(*this)(c.from), (*this)(c.to), c.kg}; }
};
Map map_of(const SwarmMotion& m, double u) {
  constexpr double least = 1e-3;
  const SlugPath* const slugs = m.slugs && !m.slugs->straight() ? m.slugs : nullptr;
  const double stretch = 1 + u * (m.far - m.near);
  if (stretch >= least) return {u * m.near, stretch, u, slugs};
  return {0.5 * (1 + u * (m.near + m.far) - least), least, u, nullptr};
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
    if (c.from >= 0 && c.to <= 1) [[likely]] return c;
    return beyond(c);
  }
  Cloud beyond(const Cloud& c) {
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
  const Speed speed{tubes, SpeedProfile(m.d_over_bore)};
  double flow = 0, near_left = in_near_kg, far_left = in_far_kg;
  for (std::size_t k = 0; k < n; ++k) flow += tubes.share[k] * speed(k);
  const Rise rise(profile, length_m, m.rise);
  Cut cut{m.near < 0, m.far > 0, {}, {}};
  Sum kg, moved;
  Clouds to;
  for (std::size_t k = 0; k < n; ++k) {
    const double u = speed(k), part = tubes.share[k] * u / flow;
    const Map map = map_of(m, u);
    const double near_kg = k + 1 < n ? in_near_kg * part : near_left, far_kg = k + 1 < n ? in_far_kg * part : far_left;
    near_left -= near_kg;
    far_left -= far_kg;
    to.count = 0;
    to.lay(map(0) > 0 ? cut({0, map(0), near_kg}) : Cloud{0, 0, near_kg});
    for (int i = 0; i < s.count[k]; ++i)
      rise(clouds_of(s, k)[i], [&](const Cloud& c) { to.lay(cut(map(c))); });
    to.lay(map(1) < 1 ? cut({map(1), 1, far_kg}) : Cloud{1, 1, far_kg});
    moved.add(make_fit(to, s.limit));
    store(s, k, to, kg);
  }
  s.kg = kg.value();
  climb(s, tubes, m.creams, moved);
  if (s.kg <= 0) s.creaming = 0;
  if (merged_kg) *merged_kg += moved.value();
  return {cut.near_kg.value(), cut.far_kg.value()};
}

Passed peek(const Swarm& s, const Streamtubes& tubes, const SwarmMotion& m) {
  if (s.kg <= 0 || s.count.size() != tubes.share.size()) return {};
  const Speed speed{tubes, SpeedProfile(m.d_over_bore)};
  Cut cut{m.near < 0, m.far > 0, {}, {}};
  for (std::size_t k = 0; k < s.count.size(); ++k) {
    const Map map = map_of(m, speed(k));
    for (int i = 0; i < s.count[k]; ++i) cut(map(clouds_of(s, k)[i]));
  }
  return {cut.near_kg.value(), cut.far_kg.value()};
}

}  // namespace evenstroke
