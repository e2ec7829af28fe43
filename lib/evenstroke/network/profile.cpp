#include <algorithm>

#include "evenstroke/network/network.hpp"

namespace evenstroke {
namespace {

bool has_peak(const Profile& p) { return p.peak_share > 0 && p.peak_share < 1; }

}  // namespace

double Profile::height_m(double share) const {
  const double x = std::clamp(share, 0.0, 1.0);
  if (!has_peak(*this)) return near_m + x * (far_m - near_m);
  if (x <= peak_share) return near_m + x / peak_share * (peak_m - near_m);
  return far_m + (1 - x) / (1 - peak_share) * (peak_m - far_m);
}

/// The point between belongs to neither part: level where both rise to it or both fall to it, else the far part's.
double Profile::sin_incline(double share, double length_m) const {
  if (length_m <= 0) return 0;
  const auto sine = [&](double rise_m, double part) { return std::clamp(rise_m / (part * length_m), -1.0, 1.0); };
  if (!has_peak(*this)) return sine(far_m - near_m, 1);
  const double before = sine(peak_m - near_m, peak_share), after = sine(far_m - peak_m, 1 - peak_share);
  if (share == peak_share && before * after < 0) return 0;
  return share < peak_share ? before : after;
}

}  // namespace evenstroke
