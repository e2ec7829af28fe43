#pragma once

namespace evenstroke {

/// Value of max(0, x) with a quadratic corner, and its slope; both continuous.
///   |x| <= w/2:  y = (x + w/2)^2 / (2 w)      outside: exactly 0 or x;  y(0) = w/8 is the largest deviation
/// A kink would cost the solver a rejected step at each passage.   tests: tests/components/ramp_test.cpp
template <class T>
struct Ramp {
  T y, slope;
};

template <class T>
Ramp<T> ramp(T x, T width) {
  const T half = width / T(2);
  if (x <= -half) return {T(0), T(0)};
  if (x >= half) return {x, T(1)};
  const T into = x + half;
  return {into * into / (T(2) * width), into / width};
}

/// From shut to wide open: exactly 0 for s <= 0, exactly 1 for s >= 1, straight between with corners rounded over a tenth; 1/2 at 1/2.
template <class T>
Ramp<T> ease(T s) {
  constexpr double round = 0.1;
  const T u = T(1 + round) * s - T(round / 2);
  const Ramp<T> from = ramp(u, T(round)), to = ramp(u - T(1), T(round));
  return {from.y - to.y, (from.slope - to.slope) * T(1 + round)};
}

}  // namespace evenstroke
