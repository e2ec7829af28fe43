#pragma once
#include <cmath>
#include <ostream>

namespace evenstroke {

/// Dual number v + d e with e^2 = 0: carries a value and one derivative through any law written on a number type.
/// Comparisons look at the value only, so a law's branches are taken as with plain numbers.
struct Dual {
  double v, d;
  constexpr Dual(double value = 0, double slope = 0) : v(value), d(slope) {}
  constexpr Dual& operator+=(const Dual& b) { return *this = Dual(v + b.v, d + b.d); }
  constexpr Dual& operator-=(const Dual& b) { return *this = Dual(v - b.v, d - b.d); }
  constexpr Dual& operator*=(const Dual& b) { return *this = Dual(v * b.v, d * b.v + v * b.d); }
  constexpr Dual& operator/=(const Dual& b) { return *this = Dual(v / b.v, (d - v / b.v * b.d) / b.v); }
};

constexpr Dual operator+(const Dual& a) { return a; }
constexpr Dual operator-(const Dual& a) { return Dual(-a.v, -a.d); }
constexpr Dual operator+(Dual a, const Dual& b) { return a += b; }
constexpr Dual operator-(Dual a, const Dual& b) { return a -= b; }
constexpr Dual operator*(Dual a, const Dual& b) { return a *= b; }
constexpr Dual operator/(Dual a, const Dual& b) { return a /= b; }

constexpr bool operator==(const Dual& a, const Dual& b) { return a.v == b.v; }
constexpr bool operator!=(const Dual& a, const Dual& b) { return a.v != b.v; }
constexpr bool operator<(const Dual& a, const Dual& b) { return a.v < b.v; }
constexpr bool operator>(const Dual& a, const Dual& b) { return a.v > b.v; }
constexpr bool operator<=(const Dual& a, const Dual& b) { return a.v <= b.v; }
constexpr bool operator>=(const Dual& a, const Dual& b) { return a.v >= b.v; }

inline Dual sqrt(const Dual& a) {
  const double r = std::sqrt(a.v);
  return Dual(r, a.d == 0 ? 0.0 : a.d / (2 * r));
}
inline Dual cbrt(const Dual& a) {
  const double r = std::cbrt(a.v);
  return Dual(r, a.d == 0 ? 0.0 : a.d / (3 * r * r));
}
inline Dual abs(const Dual& a) { return a.v < 0 ? -a : a; }
inline Dual fabs(const Dual& a) { return abs(a); }
inline Dual exp(const Dual& a) { return Dual(std::exp(a.v), std::exp(a.v) * a.d); }
inline Dual log(const Dual& a) { return Dual(std::log(a.v), a.d / a.v); }
inline Dual log10(const Dual& a) { return Dual(std::log10(a.v), a.d / (a.v * std::log(10.0))); }
inline Dual sin(const Dual& a) { return Dual(std::sin(a.v), std::cos(a.v) * a.d); }
inline Dual cos(const Dual& a) { return Dual(std::cos(a.v), -std::sin(a.v) * a.d); }
inline Dual acos(const Dual& a) { return Dual(std::acos(a.v), -a.d / std::sqrt(1 - a.v * a.v)); }
inline Dual tanh(const Dual& a) {
  const double t = std::tanh(a.v);
  return Dual(t, (1 - t * t) * a.d);
}
inline Dual pow(const Dual& a, double n) { return Dual(std::pow(a.v, n), n * std::pow(a.v, n - 1) * a.d); }
inline Dual pow(const Dual& a, const Dual& b) {
  const double p = std::pow(a.v, b.v);
  const double by_base = a.d == 0 ? 0.0 : b.v * std::pow(a.v, b.v - 1) * a.d;
  const double by_exponent = b.d == 0 ? 0.0 : p * std::log(a.v) * b.d;  // skipped when fixed: log of a base <= 0
  return Dual(p, by_base + by_exponent);
}
inline Dual fmax(const Dual& a, const Dual& b) { return a.v < b.v ? b : a; }
inline Dual fmin(const Dual& a, const Dual& b) { return b.v < a.v ? b : a; }
inline bool isfinite(const Dual& a) { return std::isfinite(a.v) && std::isfinite(a.d); }
inline std::ostream& operator<<(std::ostream& os, const Dual& a) { return os << a.v << " + " << a.d << " e"; }

/// f'(x) of a law written on a number type: `slope_of([&](auto p) { return law(p); }, x)`.
template <class F>
double slope_of(F f, double x) {
  return f(Dual(x, 1)).d;
}

}  // namespace evenstroke
