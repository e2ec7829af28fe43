#pragma once
#include <algorithm>
#include <cmath>
#include <limits>
#include <string>

#include "evenstroke/base/error.hpp"

namespace evenstroke {

/// Where g changes sign between a and b, a < b: g(a) and g(b) of opposite sign, or either of them zero.
/// The answer lies within `tol` (not below four roundings of the ends) of the change, on b's side of it, so that
/// g(answer) has the sign of g(b) or is zero: whoever restarts there has passed the event. One change in the bracket
/// is found, whichever it is when there are several. A jump counts as a change of sign.
///
/// Interpolate, truncate, project (Oliveira and Takahashi, ACM Trans. Math. Softw. 47(1), 2021): superlinear
/// on smooth g and never more than one evaluation behind bisection, hence at most about 55 evaluations of g.
/// InputError when the ends do not bracket. If g is not finite inside, the search stops at the best b-side point.
template <class F>
double first_root(F g, double a, double b, double tol) {
  double ga = g(a), gb = g(b);
  if (gb == 0) return b;
  if (ga == 0) return a;
  if (!(a < b) || !((ga < 0 && gb > 0) || (ga > 0 && gb < 0)))
    throw InputError("bracket", "g(" + std::to_string(a) + ") = " + std::to_string(ga) + ", g(" + std::to_string(b) +
                     ") = " + std::to_string(gb), "", "needs a < b and opposite signs at the ends");

  const double rounding = 4 * std::numeric_limits<double>::epsilon() * std::max(std::abs(a), std::abs(b));
  const double eps = 0.5 * std::max({tol, rounding, std::numeric_limits<double>::min()});
  const double sign = gb > 0 ? 1 : -1;
  const double kappa = 0.2 / (b - a);
  // Bisection would need `halvings`; one more is allowed, which pays for the interpolation.
  const int halvings = std::max(0, static_cast<int>(std::ceil(std::log2((b - a) / (2 * eps)))));
  for (int step = 0; b - a > 2 * eps && step < 97; ++step) {
    const double middle = a + 0.5 * (b - a);
    const double slack = std::max(0.0, eps * std::exp2(halvings + 1 - step) - 0.5 * (b - a));
    const double secant = (gb * a - ga * b) / (gb - ga);
    const double towards = middle >= secant ? 1 : -1;
    const double trim = std::min(kappa * (b - a) * (b - a), std::abs(middle - secant));
    double x = secant + towards * trim;
    if (!(std::abs(x - middle) <= slack)) x = middle - towards * slack;
    if (!(x > a && x < b)) x = middle;
    const double gx = g(x);
    if (!std::isfinite(gx)) return b;
    if (gx == 0) return x;
    if (sign * gx > 0) {
      b = x;
      gb = gx;
    } else {
      a = x;
      ga = gx;
    }
  }
  return b;
}

}  // namespace evenstroke
