#include "evenstroke/transport/slug_path.hpp"

#include <algorithm>

#include "evenstroke/transport/parcels.hpp"

namespace evenstroke {

SlugPath::SlugPath(const Queue& q, double in_near, double in_far, double near, double far, const LineState& s)
    : near_out_m3_(in_near - near) {
  constexpr double small_step = 1.5;                 // of a slug's volume, in one quantum
  const double end = whole_m3(q, s) - in_far;
  const auto each_old = [&](auto&& f) {              // what has not just come in: volume, slug
    double at = 0;
    for (int i = 0; i < q.count; ++i) {
      const double from = std::max(at, in_near);
      at += volume_m3(q[i], s);
      if (const double v = std::min(at, end) - from; v > 0) f(v, q[i].slug);
      else if (q[i].slug) ++(at <= in_near ? first_ : last_);
    }
  };
  double gas = 0;
  each_old([&](double v, bool slug) { gas += slug ? v : 0.0; });
  first_ = last_ = 0;
  const double gained = far - near, before = gas - gained;
  line_m3_ = end - in_near - gained;
  if (gas <= 0 || before <= 0 || gas > small_step * before || before > small_step * gas) return;
  double was = 0, is = near;
  bool in_slug = false;
  const auto point = [&] {
    at_[static_cast<std::size_t>(points_)] = was / line_m3_;
    by_[static_cast<std::size_t>(points_++)] = (is - was) / line_m3_;
  };
  const auto edge = [&](bool begins) {
    const Edge e{was / line_m3_, 0, (is - was) / line_m3_};
    if (begins) slug_[static_cast<std::size_t>(slugs_++)].near = e;
    else slug_[static_cast<std::size_t>(slugs_ - 1)].far = e;
  };
  each_old([&](double v, bool slug) {
    if (points_ == 0 || slug != in_slug) point();
    if (slug != in_slug) edge(slug);
    in_slug = slug;
    was += slug ? v * before / gas : v;
    is += v;
  });
  point();
  if (in_slug) edge(false);
}

void SlugPath::arrive(const Queue& q, const LineState& s) {
  int n = 0;
  double at = -near_out_m3_;
  for (int i = 0; i < q.count; ++i) {
    const double from = at;
    at += volume_m3(q[i], s);
    if (!q[i].slug) continue;
    const int old = n++ - first_;
    if (old < 0 || old >= slugs_) continue;
    slug_[static_cast<std::size_t>(old)].near.is = from / line_m3_;
    slug_[static_cast<std::size_t>(old)].far.is = at / line_m3_;
  }
  if (n != first_ + slugs_ + last_) slugs_ = 0;      // some have run together: nobody knows which
}

double SlugPath::mean_flow(double x) const {
  std::size_t i = 1;
  while (i + 1 < static_cast<std::size_t>(points_) && at_[i] < x) ++i;
  const double length = at_[i] - at_[i - 1];
  return length > 0 ? by_[i - 1] + (by_[i] - by_[i - 1]) * (x - at_[i - 1]) / length : by_[i];
}

double SlugPath::operator()(double x, double speed) const {
  // In the oil on one side of an edge (side 1: the edge lies ahead in x): left behind, pushed, or caught on the way.
  const auto beside = [&](double to, const Edge& e, double side) {
    if (side * (e.is - to) >= 0) return to;
    if (side * e.moved() >= 0) return e.is;
    const double moves = to - x, closes = side * (moves - e.moved());
    return x + moves * std::clamp(side * (e.was - x) / closes, 0.0, 1.0);
  };
  // In the film: stands until the edge has passed, then goes on in the oil behind it.
  const auto released = [&](const Edge& e, double side) {
    const double left = (e.is - x) / e.moved(), to = x + speed * e.oil * left;
    return side > 0 ? std::min(to, e.is) : std::max(to, e.is);
  };
  double to = x + speed * mean_flow(x);
  for (std::size_t i = 0; i < static_cast<std::size_t>(slugs_); ++i) {
    const Slug& s = slug_[i];
    if (x > s.near.was && x < s.far.was) {
      if (x < s.near.is) return released(s.near, 1);
      if (x > s.far.is) return released(s.far, -1);
      return x;
    }
    to = x <= s.near.was ? beside(to, s.near, 1) : beside(to, s.far, -1);
  }
  return to;
}

}  // namespace evenstroke
