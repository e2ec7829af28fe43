#pragma once
#include <cstddef>
#include <vector>

#include "evenstroke/air/closure.hpp"
#include "evenstroke/network/network.hpp"

namespace evenstroke {

/// What drives a phase: which switches are open and what the rods carry.
struct Drive {
  bool motor = false, extend = false, retract = false, bypass_open = false;
  bool on_panel = false;
};

/// Equations of flow with frozen contents.
///   states   W_e  volume that left `from` through edge e since the contents were frozen [m3]; r_e W_e arrived at `to`
///                 (r frozen: oil and gas take more room at the lower pressure)
///            u_a  displacement of axis a since then [m]
///   closure  content of a place compresses into  V(x) - (net volume let in);  p follows, it is no state
///   W_e' = law(p_from, p_to)        u_a' = moving (F_a - direction F_run)/B,   F_a = sum(slope p) - fixed - load - coupling
/// Every Jacobian entry is (slope of the law in p) x (dp/dV of the place) x (dV/dstate), summed over shared places.
/// tests: tests/flow/model_test.cpp
template <class T = double>
class FlowModel {
 public:
  explicit FlowModel(const Network& net);

  int size() const { return edges_ + axes_; }
  int edges() const { return edges_; }
  int axes() const { return axes_; }
  void set_drive(const Drive&);
  void freeze_place(int place, const Closure<T>& c, T volume_m3);   ///< volume at the present position, without wall
  void freeze_axis(int axis, T position_m);
  void freeze_edge(int edge, T ratio);                              ///< volume arriving at `to` per volume leaving `from`
  void set_motion(int axis, int motion);                            ///< 0 held, +1 sliding out, -1 sliding in

  void rhs(const T* y, T* f);
  void jacobian(const T* y, T* values);

  // results of the last rhs
  T pressure(int place) const { return place < 0 ? T(p0_pa_abs) : p_[at(place)].p; }
  T flow(int edge) const { return q_[at(edge)]; }
  T force(int axis) const { return force_[at(axis)]; }              ///< drives the axis outward, friction not counted
  T load(int axis) const { return load_[at(axis)]; }                ///< what the panel puts on a rod, coupling included
  T spring_energy_j() const;                                        ///< stored in the panel's twist
  void evaluate(const T* y);                                        ///< what rhs does, without writing f
  void rates(T* f) const;                                           ///< f of the state evaluated last

 private:
  struct Term { int slot, gradient, place, ratio; T dv; };   // slot += gradient * dp/dV(place) * dV/dstate
  static std::size_t at(int i) { return static_cast<std::size_t>(i); }
  ThroughFlow<T> edge_flow(const Edge&, T p_from, T p_to) const;

  const Network& net_;
  int edges_, axes_;
  std::vector<Closure<T>> closure_;
  std::vector<T> volume_, available_, position_, gate_, ratio_, moving_, direction_, q_, force_, load_;
  std::vector<PressureSlope<T>> p_;
  std::vector<T> gradient_;                            // dq/dp_from, dq/dp_to per edge; then slope/B per place with an axis
  std::vector<Term> terms_;
  std::vector<int> coupling_slot_;
  std::vector<OrificeLaw<T>> orifices_;
  std::vector<LineLaw<T>> lines_;
  std::vector<LeakLaw<T>> leaks_;
  PumpLaw<T> pump_;
  ReliefLaw<T> relief_;
  bool on_panel_ = false;
};

}  // namespace evenstroke

#include "evenstroke/flow/model_impl.hpp"
