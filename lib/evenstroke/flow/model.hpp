#pragma once
#include <cstddef>
#include <vector>

#include "evenstroke/air/closure.hpp"
#include "evenstroke/components/held.hpp"
#include "evenstroke/network/network.hpp"

namespace evenstroke {

/// What drives a phase: which switches are open and what the rods carry.
struct Drive {
  bool motor = false, extend = false, retract = false, bypass_open = false;
  double bypass_rad = 0;           ///< bypass valves that are not open: cracked so far
  double supply_v = 0;             ///< at the motor; 0: as the rig says
  bool on_panel = false;
  double held_n = 0;               ///< force at which hands that hold neighbouring rods together give way; 0: nobody does
  int hand = 0;                    ///< a hand draws the rods it holds out (+1) or pushes them in (-1)
};

constexpr bool is_open(Switch gate, const Drive& d) {
  switch (gate) {
    case Switch::always: break;
    case Switch::motor: return d.motor;
    case Switch::extend: return d.extend;
    case Switch::retract: return d.retract;
    case Switch::bypass: return d.bypass_open || d.bypass_rad > 0;
    case Switch::motor_extend: return d.motor && d.extend;
    case Switch::motor_retract: return d.motor && d.retract;
    case Switch::standing: return !d.motor;
  }
  return true;
}

/// What an edge is told of the mixture that passes it, frozen with the contents.
template <class T = double>
struct EdgeState {
  T ratio = 1;                     ///< volume arriving at `to` per volume leaving `from`
  T head_pa = 0;                   ///< what the column between them adds to the pressure at `from`
  T density = 1, viscosity = 1;    ///< of the mixture, over the oil's at p0; for lines the viscosity also carries the
                                   ///< share of the length that oil fills
  T choke_from = 0, choke_to = 0;  ///< what chokes coming from either side, as in orifice.hpp; 0 = never
  T slip = 1;                      ///< of a pump: how much more gas slips back than oil
  T at_from = 1;                   ///< volume at `from` per volume as the law gives it, upstream: 1/ratio for what comes back
  T low_pa = 0, high_pa = 0;       ///< of a line: while p_from + head - p_to is between them nothing passes; what is
                                   ///< beyond drives
};

/// Equations of flow with frozen contents.
///   states   W_e  volume that left `from` through edge e since the contents were frozen [m3]; r_e W_e arrived at `to`
///                 (r frozen: oil and gas take more room at the lower pressure)
///            u_a  displacement of axis a since then [m]      t  the clock since then [s]
///            Q_e  with inertance: flow through a line's edge, I Q' = p_from + head - p_to - drop(Q), I = rho L/A [kg/m4]
///   law      sees p_from + head, and the mixture as frozen
///   closure  content of a place compresses into  V(x) - (net volume let in) + s t;  p follows, it is no state
///            s  rate at which what happens inside the place makes room: solution, release, heat (frozen) [m3/s]
///   W_e' = law(p_from, p_to), the law gives the volume upstream        u_a' = moving (F_a - direction F_run)/B,
///   F_a = sum(slope p) - fixed - load - coupling - held + hand      a hand's force falls with its speed: it adds to F and to B
///         a spool besides - k x - flow forces of its edges; a shaft sum(D (p_from - p_to)), its sections turn with it
/// Every Jacobian entry is (slope of the law in p) x (dp/dV of the place) x (dV/dstate), summed over shared places; an edge that
/// an axis opens, and that axis by its spring, have one in its position, too.
/// tests: tests/flow/model_test.cpp
template <class T = double>
class FlowModel {
 public:
  /// `inertance`: oil in lines takes time to be set going; without it its flow follows the pressures at once.
  explicit FlowModel(const Network& net, bool inertance = false);

  int size() const { return first_flow() + static_cast<int>(inert_.size()); }
  int first_flow() const { return edges_ + axes_ + 1; }      ///< where the flows of lines begin, if they are states
  const std::vector<int>& inert() const { return inert_; }   ///< their edges
  int flow_state(int edge) const { return flow_of_[at(edge)] < 0 ? -1 : first_flow() + flow_of_[at(edge)]; }
  const Pattern& pattern() const { return pattern_; }        ///< of the Jacobian
  int edges() const { return edges_; }
  int axes() const { return axes_; }
  void set_drive(const Drive&);
  void freeze_place(int place, const Closure<T>& c, T volume_m3, T source_m3_per_s = T(0));   ///< volume at the present position
  void freeze_axis(int axis, T position_m);
  void freeze_edge(int edge, const EdgeState<T>&);
  void set_motion(int axis, int motion);                            ///< 0 held, +1 sliding out, -1 sliding in

  void rhs(const T* y, T* f);
  void jacobian(const T* y, T* values);

  // results of the last rhs
  T pressure(int place) const { return place < 0 ? T(p0_pa_abs) : p_[at(place)].p; }
  T speed(int axis) const;                                          ///< outward
  T hand_n(int axis) const;                                         ///< outward force of the hand on it, as it moves
  const EdgeState<T>& edge_state(int edge) const { return state_[at(edge)]; }
  T flow(int edge) const { return q_[at(edge)]; }
  T force(int axis) const { return force_[at(axis)]; }              ///< drives the axis outward, friction not counted
  T load(int axis) const { return load_[at(axis)]; }                ///< of panel and held rods on a rod, coupling included
  T carried_j(const T* position_m) const;                           ///< put into both since all rods were in
  void evaluate(const T* y);                                        ///< what rhs does, without writing f
  void rates(T* f) const;                                           ///< f of the state evaluated last

 private:
  struct Term { int slot, gradient, place, ratio; T dv; };   // slot += gradient * dp/dV(place) * dV/dstate
  struct Touch { int state; T dv; };                         // state -> change of the volume its content has
  static std::size_t at(int i) { return static_cast<std::size_t>(i); }
  void run_pump(const PumpLaw<double>& p) {
    pump_ = {T(p.q0), T(p.q_slope), T(p.i0), T(p.i_slope), T(p.q_round), T(p.q_slip)};
  }
  PilotedFlow<T> edge_flow(std::size_t edge) const;
  PilotedFlow<T> orifice_flow(std::size_t edge, T from, T to) const;
  PilotedFlow<T> section_flow(std::size_t edge, T from, T to) const;
  void add_laws();
  void depends(int row, int gradient, int place, const std::vector<Touch>& touch);   // Jacobian terms of one row by one place
  void couple(const std::vector<std::vector<Touch>>& touch);
  void forces(const T* y);
  void own_forces(const T* y);                                 // of a spool or a shaft
  void set_going(std::size_t k, T flow);                       // an edge with inertance

  const Network& net_;
  int edges_, axes_;
  std::vector<Closure<T>> closure_;
  std::vector<T> volume_, source_, available_, position_, gate_, moving_, direction_, viscous_, q_, force_, load_;
  std::vector<EdgeState<T>> state_;
  std::vector<PressureSlope<T>> p_;
  std::vector<T> gradient_;      // dq/dp_from, dq/dp_to, dq/dp_pilot per edge; then slope/B per place with an axis; see couple
  struct ClockTerm { int slot, gradient, place; };
  std::vector<Term> terms_;
  std::vector<ClockTerm> clock_terms_;
  std::vector<int> coupling_slot_;
  std::vector<OrificeLaw<T>> orifices_;
  std::vector<LineLaw<T>> lines_;
  std::vector<LeakLaw<T>> leaks_;
  PumpLaw<T> pump_;
  ReliefLaw<T> relief_;
  std::vector<CounterbalanceLaw<T>> counterbalances_;
  std::vector<ReliefLaw<T>> seals_, spills_;
  std::vector<OpeningLaw<T>> openings_;
  std::vector<PilotLaw<T>> releases_;
  std::vector<typename OpeningLaw<T>::Share> open_;            // per opening, of the state evaluated last
  Pattern pattern_;
  std::vector<int> inert_, flow_of_;                           // edges whose flow is a state; per edge its place among them, or -1
  std::vector<int> inert_slot_, set_slot_;                     // dQ'/dQ and dW'/dQ of each
  std::vector<T> inert_rate_, inert_slope_;
  int inert_row_ = 0;                                          // where their gradients begin
  struct Bent { int slot, edge; };                             // an edge by the position of what opens it
  std::vector<Bent> bent_;
  std::vector<int> sections_;                                  // edges of the shaft's sections
  std::vector<int> own_slot_;                                  // per axis: by its own position
  std::vector<T> own_slope_;
  int flow_force_row_ = 0, shaft_row_ = 0, turned_row_ = 0;    // where their gradients begin
  T way_ = T(1);                                               // -1: the spool's edges open the other way
  std::vector<PanelLaw<T>> panel_;
  HeldLaw<T> held_;
  bool on_panel_ = false, owns_ = false;                        // there is a spool, a shaft or a passage that a rod opens
  int hand_ = 0;
};

}  // namespace evenstroke

#include "evenstroke/flow/model_terms_impl.hpp"

#include "evenstroke/flow/model_impl.hpp"
