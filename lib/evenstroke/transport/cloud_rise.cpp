#include "evenstroke/transport/cloud_rise.hpp"

#include <cmath>

namespace evenstroke {

double Rise::Way::until_stop(double x) const { return until_end(x) + (beyond != 0 ? room / std::abs(beyond) : 0.0); }

double Rise::Way::stop() const { return beyond != 0 ? end + std::copysign(room, by) : end; }

double Rise::Way::operator()(double x) const {
  const double t = until_end(x);
  if (t >= 1) return x + by;
  const double on = end + (1 - t) * beyond;
  return by > 0 ? std::min(on, stop()) : std::max(on, stop());
}

std::array<Cloud, 2> Rise::Way::stopping(const Cloud& c) const {
  if (c.kg <= 0) return {};
  const double first = until_stop(by > 0 ? c.to : c.from), last = until_stop(by > 0 ? c.from : c.to);
  if (first >= 1) return {Cloud{(*this)(c.from), (*this)(c.to), c.kg}, Cloud{}};
  const double stopped = last > 1 ? c.kg * ((1 - first) / (last - first)) : c.kg, z = stop();
  const Cloud pile{z, z, stopped};
  if (by > 0) return {Cloud{(*this)(c.from), z, c.kg - stopped}, pile};
  return {pile, Cloud{z, (*this)(c.to), c.kg - stopped}};
}

Rise::Rise(const Profile& p, double length_m, double rise) {
  if (rise == 0) return;
  const bool bent = p.peak_share > 0 && p.peak_share < 1;
  bend_ = bent ? p.peak_share : 1;
  way_[0].by = rise * p.sin_incline(0.5 * bend_, length_m);
  way_[1].by = bent ? rise * p.sin_incline(0.5 * (1 + bend_), length_m) : way_[0].by;
  any_ = way_[0].by != 0 || way_[1].by != 0;
  for (const bool first : {true, false}) {
    Way& way = way_[first ? 0 : 1];
    const double other = way_[first ? 1 : 0].by;
    const bool inward = first == (way.by > 0);            // towards the bend
    way.end = inward ? bend_ : way.by > 0 ? 1.0 : 0.0;
    if (inward && other * way.by > 0) way.beyond = other, way.room = way.by > 0 ? 1 - bend_ : bend_;
  }
}

}  // namespace evenstroke
