#pragma once
#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

#include "evenstroke/network/contents.hpp"

namespace evenstroke {

/// Adds many small numbers without losing the last digits: what each addition rounds off is kept (Knuth's two-sum).
struct Sum {
  double sum = 0, lost = 0;
  void add(double x) {
    const double s = sum + x, came = s - sum;
    lost += (sum - (s - came)) + (x - came);
    sum = s;
  }
  double value() const { return sum + lost; }
};

/// Clouds of one tube while they are worked on: in order from the near end, none over another. A cloud without length
/// is a pile: bubbles gathered in one point. Room for a full tube and a full line's pieces laid over one another.
struct Clouds {
  static constexpr double hair = 1e-12;   ///< of a line's volume: shorter pieces are round-off
  std::array<Cloud, 2 * (Swarm::capacity + Queue::capacity + 4) + 1> cloud;
  int count = 0;
  Cloud& operator[](int i) { return cloud[static_cast<std::size_t>(i)]; }
  const Cloud& operator[](int i) const { return cloud[static_cast<std::size_t>(i)]; }
  const Cloud* begin() const { return cloud.data(); }
  const Cloud* end() const { return cloud.data() + count; }
  inline void lay(const Cloud&);          ///< behind the others; joins the last if they touch and are equally dense
};

/// If there are more than `limit`, joins pairs until a place is free, each time the pair that moves least. Returns what that
/// moved [kg].
double make_fit(Clouds&, int limit);
/// Both over one another: they are cut where either begins or ends.
void overlay(const Clouds&, const Clouds&, Clouds& out);

inline void Clouds::lay(const Cloud& c) {
  if (c.kg <= 0) return;
  if (count > 0) {
    Cloud& last = (*this)[count - 1];
    const double last_length = last.to - last.from, length = c.to - c.from;
    const double moves = std::abs(last.kg * length - c.kg * last_length);   // times the length of both
    if (c.from - last.to <= hair && moves <= 1e-9 * (last.kg + c.kg) * (last_length + length)) {
      last.to = std::max(last.to, c.to);
      last.kg += c.kg;
      return;
    }
  }
  (*this)[count++] = c;
}

}  // namespace evenstroke
