#pragma once
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
  /// `rig` as given; `net` made from it.
  Runner(const Rig& rig, const Network& net, const RunOptions&);

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
  };
  /// Extend, dwell, retract, dwell.
  StrokeEnd stroke(Contents&, const Step&);
  /// A step between strokes, bench.hpp.
  Outcome bench(Contents&, const Step&, StepRow&, Energy*, std::vector<std::string>* short_of);
  /// Before a stroke: what those steps left apart is joined.
  Outcome join(Contents&, Energy*);
  /// Check stroke on a copy: to the lower stops if need be, then extend; ends at the last station.
  Check check(Contents, double dwell_s, Rods rods, Outcome* outcome);

  /// Where the series goes; null = nowhere.
  void record_into(Series* s, int max_samples) { series_ = s, max_samples_ = max_samples; }
  March& march() { return march_; }
  double air_moved_by_merging_kg() const { return march_.air_moved_by_merging_kg() + merged_kg_; }
  std::vector<double> as_given(const std::vector<double>& position_of_branch) const;   ///< in the order of the rig

 private:
  struct Watches { PressureWatch pressure; IndexWatch index; };
  Outcome drive(March&, Contents&, const Drive&, double time_s, Watches*);
  bool at_stops(const Contents&, bool upper) const;
  double time_limit_s() const;
  void sample(const Contents&);
  void took(const Between&, Contents&, const Connections& left, Energy*);

  const Rig& rig_;
  const Network& net_;
  const RunOptions& options_;
  March march_, checker_;   // a fork leaves no trace in the run, not even a step size
  Series* series_ = nullptr;
  int max_samples_ = 0, stride_ = 1, since_ = 0;
  Held held_;
  Connections joints_;               // as the last step left them
  double merged_kg_ = 0;             // in steps between strokes
};

}  // namespace evenstroke
