#pragma once
#include <array>
#include <atomic>
#include <optional>
#include <string>
#include <vector>

#include "evenstroke/base/status.hpp"
#include "evenstroke/flow/engine.hpp"
#include "evenstroke/network/contents.hpp"
#include "evenstroke/procedure/between.hpp"
#include "evenstroke/procedure/compare.hpp"
#include "evenstroke/procedure/overload.hpp"
#include "evenstroke/procedure/procedure.hpp"
#include "evenstroke/procedure/station_watch.hpp"

namespace evenstroke {

enum class CheckState { not_done, ok, not_rephased, not_reached };
const char* to_string(CheckState);

/// One check stroke: extend with the bypass closed from the lower stops, on a fork of the state.
struct Check {
  CheckState state = CheckState::not_done;
  std::array<double, 3> mismatch_m{};      ///< x1 - x2 as the mean passes the stations (N > 2: largest - smallest)
  std::array<std::vector<double>, 3> position_m;   ///< of every rod there, in the order of the rig
  double carriage_m = 0;                   ///< where it stood when the state is not_rephased
  double worst_m() const;                  ///< the reading largest in size, with its sign
};

/// One line of the table: what a bleed stroke left behind.
struct StrokeRow {
  int stroke = 0;                          ///< counted from 1; 0 = before the first
  int step = 0;                            ///< index into the procedure's steps
  bool bypass_open = false;
  Check free, load;                        ///< whole mismatch with free rods; under the panel
  std::vector<double> free_air_m3;         ///< per place of the run, at p0 and 20 deg C: pockets and bubbles
  double pocket_m3 = 0, coarse_m3 = 0, fine_m3 = 0;   ///< the same, summed over places
  double dissolved_m3 = 0;                 ///< air in solution in the circuit, as free air at p0 and 20 deg C
  std::optional<double> apparent_index;    ///< polytropic index of pockets, by mass; empty: none told. See IndexWatch
  double vented_m3 = 0;                    ///< since the start
  double level_m = 0;                      ///< of the reservoir
  double time_s = 0, motor_on_s = 0;
  double highest_pa_abs = 0, lowest_pa_abs = 0;   ///< anywhere, during the stroke; see PressureWatch
  double low_pressure_s = 0;               ///< how long somewhere it was below 0.7 bar abs
  bool rods_reached_stops = true;          ///< or turned where the step says
  std::array<double, 3> air_part_m{};      ///< of its reading at each station: e - e_twin
};

/// The part of a reading, at each station, that the same rig without air (`twin`) does not have.
std::array<double, 3> air_part_m(const Check&, const Check& twin);

enum class Answered { reached, never, not_within, not_defined, undecided };
const char* to_string(Answered);
/// First stroke after which this and the next three stay inside the tolerance, or why there is none.
struct Verdict {
  Answered answered = Answered::undecided;
  int stroke = 0;                          ///< valid when reached
  std::string reason;
};

struct Books {
  double oil_rel_error = 0, air_rel_error = 0;
  Ledger ledger;
  Energy energy;
  double stored_j = 0;                     ///< available work in compressed oil and gas at the end
  /// Largest imbalance of each re-closure, FlowEngine::imbalance_m3, summed over the worst stroke, as rod travel.
  double transport_error_m = 0;
  double merged_gas_m3 = 0;                ///< air that changed place where a line's parcels had to be merged
};

/// Sampled channels, row-major: time x channel.
struct Series {
  std::vector<std::string> channel;
  std::vector<double> time_s, value;
};

struct RunOptions {
  double tolerance_m = 0;                  ///< 0: max(1 mm, 1 % of the stroke), an assumption
  int max_strokes = 0;                     ///< 0: the procedure's
  bool stop_at_verdict = true;             ///< end once both verdicts stand and every step was done; else at max_strokes
  bool checks = true;                      ///< a check stroke after every stroke
  bool record = true;                      ///< keep series
  int max_samples = 2000;
  Resolution resolution;
  const std::atomic<bool>* stop = nullptr; ///< set from outside: the run ends within a quantum and keeps what it has
};

struct Run {
  Status status;
  Books books;
  double tolerance_m = 0;
  std::vector<std::string> places;         ///< names for StrokeRow::free_air_m3
  std::vector<StrokeRow> strokes;          ///< first row: stroke 0
  std::vector<StepRow> steps;             ///< what was done between strokes, in order
  Check twin_free, twin_load;              ///< the same rig without free air, at the temperature it has at the end
  Verdict bled, parallel;                  ///< of the air's part; of the whole mismatch
  bool on_load = false;                    ///< the loaded check decides
  std::vector<Overload> overloads;         ///< parts pressed harder than they are made for; each is a note, too
  std::vector<std::string> notes;          ///< doubts.hpp, and what did not go as a step asked, a sentence each; the run went on
  Series series;
  Contents contents;                       ///< at the end
  Counts counts;
  long quanta = 0;
};

/// One deterministic run. Throws InputError for what cannot be run; everything nature does is a status.
Run run(const Rig&, const Contents&, const Procedure&, const RunOptions& = {});

}  // namespace evenstroke
