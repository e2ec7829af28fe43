#include "evenstroke/air/choking.hpp"

#include <algorithm>
#include <cmath>

#include "evenstroke/base/error.hpp"
#include "evenstroke/base/quantity.hpp"

namespace evenstroke {

double choke_ratio(double void_share) {
  const double w = void_share;
  if (!(w >= 0 && w <= 1)) throw InputError("void_share", number_text(w), "", "must be from 0 to 1");
  if (w == 0) return 0;
  // The left side rises all the way from -infinity at r = 0 to 1 at r = 1: one root. Little gas: r^2 near 2 w.
  double low = 0, high = 1, r = std::min(std::sqrt(2 * w), std::exp(-0.5));
  for (int i = 0; i < 100; ++i) {
    const double f = r * r + w * (w - 2) * (1 - r) * (1 - r) + 2 * w * w * (std::log(r) + 1 - r);
    (f > 0 ? high : low) = r;
    const double slope = 2 * r + 2 * (1 - r) * w * (2 - w + w / r);
    double next = r - f / slope;
    if (!(next > low && next < high)) next = (low + high) / 2;
    const double step = std::abs(next - r);
    r = next;
    if (step <= 1e-15 * r) break;
  }
  return r;
}

double choke_drop_share(double void_share) {
  const double w = void_share, r = choke_ratio(w);
  if (!(r > 0)) return 1;
  const double expanded = w * (1 / r - 1) + 1;
  return ((1 - w) * (1 - r) - w * std::log(r)) / (expanded * expanded);
}

}  // namespace evenstroke
