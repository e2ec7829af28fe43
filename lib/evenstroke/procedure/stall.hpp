#pragma once
#include <cstddef>
#include <string>
#include <vector>

#include "evenstroke/network/contents.hpp"

namespace evenstroke {

/// What held the rods up short of their stops, with the pump's pressure then; empty text: nothing did.
struct Held {
  std::string text;
  double pressure_pa_abs = 0;
};

/// For a second nothing moves any more. Either the relief valve is open and every rod slower than a creep, or the pump
/// stands at its dead head: next to no flow, and every rod, the carriage and every pressure is steady.
/// tests: tests/procedure/stall_test.cpp
class Stall {
 public:
  Stall(const Network&, const Contents&);
  /// After each quantum, with its length and the volume through each edge; true = stalled.
  bool operator()(const Contents& now, double duration_s, const std::vector<double>& volume_m3);
  Held why(const Contents& now) const;

 private:
  bool relief_open() const { return over_pa_ > net_.relief.crack_pa_diff; }
  bool creeps(const Contents& now, int axes) const;
  bool dead_head(const Contents& now) const;

  const Network& net_;
  std::vector<std::size_t> pump_;                      // edges: one, or one either way
  std::size_t behind_ = 0;                             // the place behind the pump, of the higher pressure
  std::vector<double> position_m_, pressure_pa_abs_;   // when it last moved
  double over_pa_ = 0, still_s_ = 0, pumped_m3_ = 0;
};

}  // namespace evenstroke
