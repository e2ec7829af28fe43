#pragma once
#include <array>
#include <vector>

#include "evenstroke/network/contents.hpp"
#include "evenstroke/transport/line_tubes.hpp"
#include "evenstroke/transport/shut_in.hpp"

namespace evenstroke {

/// What happens inside the places while time passes, in pairs of minus and plus:
///   rise      bubbles of chambers and passages gather in the pocket under the roof, at U (1-a)^4.65 A_h/V per class
///             (crowding: Richardson and Zaki, from memory; a at most 0.5). A passage keeps what its high point holds.
///   solution  bubbles dissolve (rate by size) while the oil can take more; oil that holds too much releases fine ones; both
///             change the pressure of what is shut in, ShutIn
///   heat      pockets and slugs warm with compression and relax to the wall
///   U  rise of one bubble [m/s]   a  share of bubbles in oil and bubbles   A_h  free surface [m2]   V  oil [m3]
/// Unconditionally stable: exponentials, clipped to what there is. A line's oil dissolves and releases as one whole:
/// each parcel takes air in proportion to its oil and gives in proportion to the air dissolved in it. Pockets and slugs
/// do not dissolve: through a level surface it takes days.   tests: tests/transport/exchange_test.cpp
class Exchange {
 public:
  /// `streamtubes`: as many as the transport has; bubbles released in a line are laid into them.
  Exchange(const Network&, int streamtubes);
  /// `before_pa_abs`: pressures at the start of the quantum; contents hold those at its end.
  void apply(Contents&, double duration_s, const std::vector<double>& before_pa_abs);
  /// Contents may be others than those of the last quantum.
  void start() { last_pa_abs_.clear(), since_s_ = 0, shut_ = false; }
  /// The same at the start of a phase: what its valves shut in counts as one volume.
  void start(const Drive& d) { start(), shut_in_.start(d), shut_ = true; }
  /// Its two halves: pockets take the temperature at which flow has compressed them, with the stiffening it was given; then
  /// they relax to the wall, bubbles dissolve, are released and rise.
  void compress(Contents&, const std::vector<double>& before_pa_abs, const std::vector<double>& stiff);
  void settle(Contents&, double duration_s);
  /// Rate at which each place will give room [m3/s]: bubbles dissolve as in the last quantum, pockets cool; negative for what
  /// takes room. With it flow goes on without a jump at every quantum.
  const std::vector<double>& source_m3_per_s() const { return source_m3_per_s_; }
  /// How much of a pocket's gas will not give way isothermally over the next `duration_s`, per place [-]: 1 - 1/n, between
  /// 0 (it follows the wall) and 1 - 1/1.4. With it flow sees the pocket as stiff as it is.
  void stiffening(const Contents&, double duration_s, std::vector<double>& share) const;
  /// How long the next quantum may last so that no place's volume changes by more than `bound_m3` or a fiftieth of its gas,
  /// whichever is more, at the rates of the last; at least 1 ms, 1e30 s while nothing goes on.
  double time_limit_s(double bound_m3) const;

 private:
  void relax(Contents&, std::size_t place, double duration_s) const;
  double cooling_m3_per_s(const Contents&, std::size_t place, double duration_s);
  double pocket_kg(const Contents&, std::size_t place) const;
  double thermal_s(std::size_t place, double p_pa_abs) const;
  double solution_m3(Contents&, std::size_t place, double duration_s) const;
  void rise(Contents&, std::size_t place, double duration_s) const;
  /// A duration over the time in which bubbles of either class dissolve in oil without air.
  std::array<double, 2> dissolving_times(double p_pa_abs, double duration_s) const;
  /// What oil that holds `dissolved_kg` of `full_kg` takes up of its bubbles, coarse and fine [kg]; `stiff`: of ShutIn.
  std::array<double, 2> taken_kg(const std::array<double, 2>& bubbles_kg, double dissolved_kg, double full_kg,
                                 const std::array<double, 2>& times, double stiff) const;
  /// What oil gives that holds `excess_kg` too much.
  double released_kg(double excess_kg, double duration_s, double stiff) const;
  double line_solution_m3(Contents&, std::size_t place, double duration_s) const;
  static void sweep_dust(LineContents&);
  double surface_m2(const Contents&, std::size_t place) const;

  const Network& net_;
  LineTubes tubes_;
  ShutIn shut_in_;
  bool shut_ = false;
  std::vector<double> radius_m_;     // of a place's pocket, by which heat leaves it; 0 = it follows the wall
  std::vector<double> was_k_, was_pa_abs_;              // per place, from where the pockets' heat is followed
  std::vector<double> last_pa_abs_;                     // per place, at the last settling; empty = none yet
  std::vector<double> source_m3_per_s_, gas_m3_;        // per place, in the last quantum
  double duration_s_ = 1, since_s_ = 0;                 // of the last quantum; since the start
  bool hot_ = false;                                    // a pocket is off the wall's temperature: no leaps in time
};

/// Share of coarse bubbles that the stretching before an opening, v/d of a round one of that area, tears into fine ones: none
/// while they are 20 % smaller than the largest that survives, all from 20 % above it.
double torn_share(const Network&, double area_m2, double flow_m3_per_s, double p_pa_abs);

}  // namespace evenstroke
