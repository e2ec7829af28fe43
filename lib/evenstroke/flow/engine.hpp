#pragma once
#include <algorithm>
#include <utility>
#include <vector>

#include "evenstroke/base/status.hpp"
#include "evenstroke/flow/model.hpp"
#include "evenstroke/flow/step_from.hpp"
#include "evenstroke/network/contents.hpp"
#include "evenstroke/solver/stepper.hpp"

namespace evenstroke {

/// How finely a run is computed. Halving all of them must not change a stroke count.
struct Resolution {
  double quantum_share = 0.05;       ///< swept volume between two transports, as a share of the smallest line or stroke
  double ln_pressure = 0.1;          ///< ... or change of ln p in a place that holds gas, whichever comes first
  double rel_tol = 1e-5;             ///< of the flow step
  double pressure_tol_pa = 1000;     ///< what an error in a volume may cost in the stiffest place its edge touches
  double abs_position_m = 1e-7;
  int streamtubes = 16;              ///< of each class of bubbles in each line
  int parcels = 32;                  ///< of each line, 4 to 32; half as many clouds of bubbles in each tube
  long max_steps = 1000000;          ///< accepted and rejected steps of one run
  bool inertance = false;            ///< of the oil in lines: milliseconds after a valve; see FlowModel
  Method method = Method::rodas5p;   ///< of the flow step; the other one checks it
};

/// Work since the start [J]; gauge pressures, so the atmosphere does none. Load by positions and gravity by volumes are
/// exact; pump and hand are way times mean effort, step by step.
struct Energy {
  double pump_j = 0;                 ///< brought in by the pump
  double hand_j = 0;                 ///< brought in by hands on rods
  double gravity_j = 0;              ///< brought in by columns that sink, at the weight they have while contents are frozen
  double load_j = 0;                 ///< taken out by the rods against the panel, coupling and held rods included
  double warmth_j = 0;               ///< brought in by heating what is shut in; between runs of the engine, never by it
  friend Energy operator+(const Energy& a, const Energy& b) {
    return {a.pump_j + b.pump_j, a.hand_j + b.hand_j, a.gravity_j + b.gravity_j, a.load_j + b.load_j, a.warmth_j + b.warmth_j};
  }
  friend Energy operator-(const Energy& a, const Energy& b) {
    return {a.pump_j - b.pump_j, a.hand_j - b.hand_j, a.gravity_j - b.gravity_j, a.load_j - b.load_j, a.warmth_j - b.warmth_j};
  }
};

/// Absolute tolerance of every flow state, in its unit.
std::vector<double> flow_tolerances(const Network&, const Resolution&);

/// Integrates the flow equations with frozen contents until a quantum has passed, and finds what happens on the way:
/// rods reach a stop, leave it, stick, break away. All crossings within a nanosecond are taken together.
class FlowEngine {
 public:
  FlowEngine(const Network&, const Resolution&);

  /// Largest volume by which a place's content does not fit at the pressure it has [m3]: the error of a quantum. Where gas
  /// gives way it counts by no more than its volume at p0, so that thin gas, which moves no rod, is not made much of.
  double imbalance_m3(const Contents&) const;
  /// Takes masses and positions of the contents and re-closes every place. `stiff` per place: share 1 - 1/n of its pocket that
  /// does not give way isothermally in the quantum to come, V = G [stiff/p_now + (1 - stiff)/p].
  /// `source` per place: rate at which what happens inside makes room [m3/s].
  void freeze(const Contents&, const std::vector<EdgeState<double>>&, const std::vector<double>& stiff,
              const std::vector<double>& source_m3_per_s);
  void close(Contents&) const;       ///< writes the re-closed pressures of the last freeze into the contents

  /// As a phase begins. States that are one number from now on, network/equal_branches.hpp: their mean is taken after
  /// every quantum.
  void hold_equal(std::vector<std::vector<int>> groups) {
    equal_ = std::move(groups);
    for (std::size_t g = equal_.size(); g-- > 0;) {        // flows of equal lines are one number, too
      std::vector<int> flows;
      for (const int i : equal_[g])
        if (i < model_.edges() && model_.flow_state(i) >= 0) flows.push_back(model_.flow_state(i));
      if (!flows.empty()) equal_.push_back(std::move(flows));
    }
    std::fill(ahead_.begin(), ahead_.end(), char(0));
    std::fill(jump_s_.begin(), jump_s_.end(), 0.0);
  }

  struct Quantum {
    Outcome outcome = Outcome::ok;
    double duration_s = 0;
    bool event = false;              ///< a rod or the carriage changed its mode
    bool stopped = false;            ///< `watch` asked to stop
  };
  /// Advances from a freeze by at most `time_s` and at most the quantum times `scale`; updates positions, motions, pressures.
  /// After every step `watch(h, x)` is told its length and x(s, axis), the positions over it for s in 0..1; true = stop there.
  /// The model then stands at the step's end, the contents still as they were closed.
  template <class Watch>
  Quantum advance(Contents&, const Drive&, double time_s, double scale, Watch&& watch);

  /// Per edge, of the last quantum: signed volume as it left its donor.
  const std::vector<double>& volume_m3() const { return volume_; }
  const Energy& energy() const { return energy_; }
  double quantum_m3() const { return quantum_m3_; }
  const Counts& counts() const { return stepper_.counts(); }
  const FlowModel<double>& model() const { return model_; }

 private:
  const double* reached(double s);       // state at the fraction s of the last step; good until the next call
  Closure<double> closure(const Contents&, int place) const;
  double room(const Contents&, int axis, const double* y) const;
  double gap(const Contents&, int axis, const double* y) const;
  double gap_at(const Contents&, int axis, double s);
  void note_jumps(const Contents&);
  bool jumping(const Contents&, int axis, double h, const double* y) const;
  double find_events(const Contents&, double h);
  void settle(Contents&, int axis);
  double step_limit(double limit_m3) const;
  double ln_pressure_change() const;
  bool quantum_over(double limit_m3) const;
  void note_efforts();                   // of the state evaluated last
  void add_step_work(const double* reached);
  void add_quantum_work(const Contents&, const Drive&);
  static std::size_t at(int i) { return static_cast<std::size_t>(i); }

  const Network& net_;
  Resolution res_;
  FlowModel<double> model_;
  Stepper stepper_;
  std::vector<double> y_, f_, dense_, sum_, still_, volume_, start_pressure_, start_position_, event_s_, released_ago_s_;
  std::vector<char> gas_, locked_;
  std::vector<char> ahead_;              // per axis: the last quantum of this phase left it free to go on as it did
  std::vector<double> jump_s_;           // per axis: how long a re-closure's jump that would stop or free it may yet last
  std::vector<std::vector<int>> equal_;
  std::vector<double> going_;            // with inertance: flow in the lines, as the last quantum left it
  double going_at_s_ = -1;               // and when that was; other contents' lines are at rest
  std::vector<double> effort_, effort_before_;   // per state: pressure the pump raises, force of a hand
  std::vector<double> loaded_to_;                // positions to which load_j is up to date
  std::pair<bool, double> carried_by_{};         // panel, and hands that hold the rods, of that
  double load_before_j_ = 0, loaded_from_j_ = 0;
  double h_ = 1e-4, quantum_m3_ = 0;
  Energy energy_;
};

}  // namespace evenstroke

#include "evenstroke/flow/engine_impl.hpp"
