#pragma once
#include <memory>

#include "evenstroke/procedure/between.hpp"
#include "evenstroke/procedure/index_watch.hpp"
#include "evenstroke/procedure/pressure_watch.hpp"
#include "evenstroke/procedure/run.hpp"
#include "evenstroke/procedure/stall.hpp"
#include "evenstroke/transport/march.hpp"

namespace evenstroke {

/// Strokes, dwells and check strokes of one rig, on contents laid into its network.
class Runner {
 public:
  /// `order`: network branch -> branch of the rig as given.
  Runner(const Rig& rig, std::vector<int> order, double warmed_k, const RunOptions&);
  const Network& network() const { return own_->net; }   ///< at the temperature that the contents have now

  /// Of one stroke, as PressureWatch and IndexWatch give it.
  struct Extremes {
    double highest_pa_abs = 0, lowest_pa_abs = 0, low_s = 0;
    std::optional<double> apparent_index = {};
  };
  struct StrokeEnd {
    Outcome outcome = Outcome::ok;
    bool reached = true, moved = false;
    Held held;                       // the last that stopped before its stop
    Extremes extremes;
    std::vector<double> highest_of;  // per place
  };
  /// Extend, dwell, retract, dwell.
  StrokeEnd stroke(Contents&, const Step&);
  /// A step between strokes, between.hpp.
  Outcome bench(Contents&, const Step&, StepRow&, Energy*, std::vector<std::string>* short_of, std::vector<double>* highest_of);
  /// Before a stroke: what those steps left apart is joined.
  Outcome join(Contents&, Energy*);
  /// Check stroke on a copy: to the lower stops if need be, then extend; ends at the last station.
  Check check(Contents, double dwell_s, Rods rods, Outcome* outcome);

  /// Where the series goes; null = nowhere.
  void record_into(Series* s, int max_samples) { series_ = s, max_samples_ = max_samples; }
  void close(Contents& c) { own_->march.close(c); }
  /// Of all strokes so far, not of check strokes.
  Energy energy() const { return sum<Energy>([](const March& m) { return m.engine().energy(); }); }
  Counts counts() const { return sum<Counts>([](const March& m) { return m.engine().counts(); }); }
  double imbalance_m3() const { return sum<double>([](const March& m) { return m.imbalance_m3(); }); }
  long quanta() const { return sum<long>([](const March& m) { return m.quanta(); }); }
  double air_moved_by_merging_kg() const {
    return merged_kg_ + sum<double>([](const March& m) { return m.air_moved_by_merging_kg(); });
  }

 private:
  struct Watches { PressureWatch pressure; IndexWatch index; };
  struct Circuit {                           // at one temperature; as mounted or with its cylinders turned; bleed screws
    Circuit(const Rig& r, const std::vector<int>& order, double warm_k, const Connections& c, const Resolution& s)
        : net(make_network(r, order, c)), march(net, s), warmed_k(warm_k), attitude(c.attitude), bled(c.bled) {}
    Network net;
    March march;
    double warmed_k;
    int attitude;
    std::vector<std::string> bled;
  };
  using Circuits = std::vector<std::unique_ptr<Circuit>>;
  template <class T>
  T sum(T (*of)(const March&)) const {
    T total{};
    for (const auto& c : circuits_) total = total + of(c->march);
    return total;
  }
  Circuit& circuit(Circuits&, const Connections& = {});
  void take(double warmed_k);
  Outcome drive(March&, Contents&, const Drive&, double time_s, Watches*, double turn_at = 1, bool press = false);
  void sample(const Contents&);
  void took(const Between&, Contents&, const Connections& left, Energy*);

  const Rig& rig_;
  const std::vector<int> order_;
  const RunOptions& options_;
  double warmed_k_;
  Circuits circuits_, checkers_;     // made once asked for; a fork leaves no trace in the run, not even a step size
  Circuit *own_, *checker_;
  Series* series_ = nullptr;
  int max_samples_ = 0, stride_ = 1, since_ = 0;
  Held held_;
  Connections joints_;               // as the last step left them
  double merged_kg_ = 0;             // in steps between strokes
};

}  // namespace evenstroke
