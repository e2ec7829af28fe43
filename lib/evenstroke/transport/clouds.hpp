#pragma once
#include <array>
#include <cstddef>

#include "evenstroke/network/contents.hpp"

namespace evenstroke {

/// Adds many small numbers without losing the last digits (Neumaier's compensated sum).
struct Sum {
  double sum = 0, lost = 0;
  void add(double x) {
    const double s = sum + x;
    lost += (sum < 0 ? -sum : sum) >= (x < 0 ? -x : x) ? (sum - s) + x : (x - s) + sum;
    sum = s;
  }
  double value() const { return sum + lost; }
};

/// Clouds of one tube while they are worked on: in order from the near end, none over another. A cloud without length is
/// a pile: bubbles gathered in one point. Room for two full tubes laid over one another, every gap filled.
struct Clouds {
  std::array<Cloud, 5 * Swarm::capacity> cloud;
  int count = 0;
  Cloud& operator[](int i) { return cloud[static_cast<std::size_t>(i)]; }
  const Cloud& operator[](int i) const { return cloud[static_cast<std::size_t>(i)]; }
  void add(double from, double to, double kg) { if (kg > 0) (*this)[count++] = {from, to, kg}; }
};

/// Mass that changes place when two neighbours become one even cloud [kg].
double moved_by_joining(const Cloud& a, const Cloud& b);
/// Joins neighbours that touch and are equally dense; then, while there are more than a tube has places for, the pair
/// that moves least. Returns what these moved [kg].
double tidy(Clouds&);
/// Lays an even cloud over those there are: they are cut at its ends, gaps get clouds of their own.
void overlay(Clouds&, double from, double to, double kg);

}  // namespace evenstroke
