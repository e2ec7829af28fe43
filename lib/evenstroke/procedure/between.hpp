#pragma once
#include <atomic>
#include <string>
#include <vector>

#include "evenstroke/flow/engine.hpp"
#include "evenstroke/network/contents.hpp"
#include "evenstroke/procedure/compare.hpp"
#include "evenstroke/procedure/procedure.hpp"

namespace evenstroke {

/// What one step between strokes has done, and what a person saw of it.
struct StepRow {
  int step = 0;                            ///< index into the procedure's steps
  int stroke = 0;                          ///< the stroke that comes next
  double time_s = 0, motor_on_s = 0;       ///< it took
  int bursts = 0;                          ///< of the motor
  double out_m3 = 0;                       ///< oil that ran into reservoir and container
  double clear_m3 = 0;                     ///< of it, the last without bubbles that can be seen
  bool bubbles_seen = false;               ///< some were, before that
  double refilled_m3 = 0, spilled_m3 = 0;  ///< oil at p0
  double vented_m3 = 0, drawn_in_m3 = 0;   ///< air that left, that came in other than in fresh oil; at p0 and 20 deg C
  double free_air_m3 = 0;                  ///< left in the circuit, at p0 and 20 deg C
  double level_m = 0;                      ///< of the reservoir, at the end
  double highest_pa_abs = 0, lowest_pa_abs = 0;   ///< anywhere; see PressureWatch
  double oil_k = 0;                        ///< temperature of oil and walls at its end
  Comparison seen = {};                       ///< of a comparison
};

/// Steps between strokes: by hand, standing, flushing, refilling, comparing. Each has a network of its own, of the same places.
class Between {
 public:
  /// `order`: branches as in the run's network. `before`: how the joints stand from the step before.
  Between(const Rig&, const std::vector<int>& order, const Resolution&, const std::atomic<bool>* stop,
        const Connections& before);

  /// `short_of` gets a clause for each thing that did not go as the step asks.
  Outcome run(Contents&, const Step&, StepRow&, std::vector<std::string>* short_of);
  /// Everything is joined again, as it must be for a stroke.
  Outcome join(Contents&);
  const Energy& energy() const { return energy_; }
  const std::vector<double>& highest_of() const { return highest_of_; }   ///< pressure, per place
  double air_moved_by_merging_kg() const { return merged_kg_; }

 private:
  class Setup;                             // one network with its march, while a step lasts
  bool stopped() const { return stop_ && stop_->load(std::memory_order_relaxed); }
  Outcome change(Contents&, const Step&, StepRow&);
  Outcome stand(Contents&, const Step&, StepRow&);
  void leave(Setup&, StepRow&);

  const Rig& rig_;
  const std::vector<int>& order_;
  const Resolution& resolution_;
  const std::atomic<bool>* stop_;
  const Connections& before_;
  Energy energy_;
  double merged_kg_ = 0;
  std::vector<double> highest_of_;
};

}  // namespace evenstroke
