#pragma once
#include <string>

#include "evenstroke/network/network.hpp"

namespace evenstroke {

/// Adds parts one by one; what it returns is the slot, so that edges can name what they join.
struct Builder {
  static constexpr int no_place = -4;   // neither a place nor one of those outside
  struct Block { int a, b; };           // from where the circuit goes on behind the ports of the valve block

  Network n;
  Connections joints;

  void oil();
  Block block();                        // network/block.cpp
  void rods();
  void branch(int i, int source, int b);
  void synchroniser(const Block&);      // network/synchronisers.cpp
  void bleed_screws();
  void pattern();                       // network/coupling.cpp

  bool parted(const std::string& joint) const;
  int add(Place);
  int passage(const std::string& name, const std::string& part, double volume_m3, int branch = -1);
  Edge& join(const std::string& name, EdgeKind, Switch, int from, int to, std::size_t law);
  /// `transition_re` 0: that of the valve block.
  Edge& orifice(const std::string& name, Switch, int from, int to, double area_m2, double transition_re = 0);
  void leak(const std::string& name, int from, int to, double conductance_m3_per_s_pa);
  void spill(const std::string& name, int from, int to, double crack_pa_diff, double gain_m3_per_s_pa, double round_pa_diff);
  /// `held`: the orifice opens only where the pilot holds it.
  void released(const std::string& name, Switch, int from, int to, double area_m2, int pilot, const PilotLaw<double>&);
  void axis(Axis);
  const Branch& own(int i) const { return n.rig.branches[static_cast<std::size_t>(i)]; }

 private:
  void line(const std::string& name, const Line&, int from, int to, int branch, const std::string& joint);
  void hoses(const std::string& branch);
  int onward(const std::string& port, int place);
  Block open_circuit();
  Block closed_circuit();
  void return_path(bool a, int from, int pilot);
  void metering(const Block&);
  void spool(const Block&);
  void rotary(const Block&);
  void series(const Block&);
  int outlet(int i);
  void bypass(int i, int inlet, int outlet);
};

/// What a parted joint looks into.
int outside(Opening);

}  // namespace evenstroke
