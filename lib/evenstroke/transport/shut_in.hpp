#pragma once
#include <vector>

#include "evenstroke/flow/model.hpp"
#include "evenstroke/network/contents.hpp"

namespace evenstroke {

/// What shut valves and rods at rest keep in one volume, and how stiff it is to what goes in and out of solution. Air that is
/// released raises the pressure it is released at, and with it what the oil can hold; bubbles that dissolve lower it. A change
/// takes 1/F of what is too much, or missing, until the oil is at its limit:
///   d(excess)/dt = -F excess/tau     F = 1 + sum(L V_oil)/sum(G/p + p V_oil/K + p wall)
/// over the places that are open to each other, V_oil of those where bubbles are or come out; F = 1 where they are open to the outside or a rod yields.
///   L  Ostwald coefficient   G/p  volume of the free gas      limits: much gas, F = 1; none, F = 1 + L K/p
/// tests: tests/transport/shut_in_test.cpp
class ShutIn {
 public:
  explicit ShutIn(const Network&);
  /// Which places are open to each other in a phase.
  void start(const Drive&);
  /// The contents as they are, before a quantum's solution.
  void look(const Contents&);
  double stiffening(std::size_t place) const { return f_[place]; }

 private:
  std::size_t root(std::size_t place);

  const Network& net_;
  std::vector<std::size_t> parent_;      // of each place and, last, of all that is outside
  std::vector<double> thirst_m3_, gives_m3_, f_;
};

}  // namespace evenstroke
