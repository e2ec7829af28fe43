#pragma once
#include <cmath>

namespace evenstroke {

/// Two rods held together by hand or strap: a spring that gives way.
///   F = k d/sqrt(1 + (k d/F_max)^2)     d: by how much one is ahead; F pulls it back
///   E = (F_max^2/k) [sqrt(1 + (k d/F_max)^2) - 1]
///   limits: F = k d for small d; |F| < F_max always     tests: tests/components/held_test.cpp
template <class T = double>
struct HeldLaw {
  static constexpr double grip_n_per_m = 1e5;   ///< k, of arms or a strap: 0.1 mm for 10 N, our estimate
  T limit_n = T(0);                             ///< F_max; 0 = they are not held

  struct Force { T n, dn_dd; };
  Force force(T d) const {
    using std::sqrt;
    if (limit_n == T(0)) return {T(0), T(0)};
    const T k = T(grip_n_per_m), u = k * d / limit_n, root = sqrt(T(1) + u * u);
    return {k * d / root, k / (root * root * root)};
  }
  T energy_j(T d) const {
    using std::sqrt;
    if (limit_n == T(0)) return T(0);
    const T k = T(grip_n_per_m), u = k * d / limit_n, root = sqrt(T(1) + u * u);
    return k * d * d / (root + T(1));           // F_max^2/k (root - 1), without cancellation
  }
};

}  // namespace evenstroke
