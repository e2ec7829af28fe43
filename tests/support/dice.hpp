#pragma once
#include <cmath>
#include <cstdint>
#include <initializer_list>

namespace evenstroke::testing {

/// xorshift64* (Marsaglia 2003, Vigna 2016, from memory), started from a mixed word (SplitMix64): the same with every
/// compiler, and another stream for every seed and feature.
struct Dice {
  std::uint64_t state;
  Dice(std::uint64_t seed, std::uint64_t stream) : state(mix(mix(seed) + stream) | 1U) {}
  static std::uint64_t mix(std::uint64_t x) {
    x += 0x9e3779b97f4a7c15U;
    x = (x ^ (x >> 30U)) * 0xbf58476d1ce4e5b9U;
    x = (x ^ (x >> 27U)) * 0x94d049bb133111ebU;
    return x ^ (x >> 31U);
  }
  double unit() {
    state ^= state >> 12U, state ^= state << 25U, state ^= state >> 27U;
    return static_cast<double>((state * 0x2545f4914f6cdd1dU) >> 11U) * 0x1p-53;
  }
  double between(double low, double high) { return low + (high - low) * unit(); }
  double decades(double low, double high) { return low * std::pow(high / low, unit()); }
  bool chance(double p) { return unit() < p; }
  template <class X>
  X one_of(std::initializer_list<X> list) {
    return list.begin()[static_cast<std::size_t>(unit() * static_cast<double>(list.size()))];
  }
};

}  // namespace evenstroke::testing
