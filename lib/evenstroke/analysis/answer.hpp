#pragma once
#include <cstdint>
#include <limits>

#include "evenstroke/analysis/batch.hpp"

namespace evenstroke {

/// A count over all members, those that never finish included: they count as infinitely many strokes.
struct Count {
  bool possible = false;          ///< the median member gets there
  double strokes = 0;             ///< median; infinity = never or not within
  double low = 0, high = 0;       ///< quantiles (1 -+ confidence)/2
  double p_never = 0;             ///< share of members that never get there
  double p_not_within = 0;        ///< share still moving after max_strokes
  double own_error = 0;           ///< half the widest range that median, low or high are known to; see known_to
  bool defined = true;            ///< false: the question has no answer on this circuit (tee with free rods)
  std::vector<double> member;     ///< per member; infinity = never; NaN = failed or not defined
  std::string text;               ///< "4 (3 to 7)", "6 (5 to > 60)", "never with this procedure"
};

/// Free air that is still there at the end of the nominal run, largest first, and what it costs in travel.
struct Leftover {
  std::string place;
  double free_air_m3;
  bool matters;                   ///< stands between the pump and a rod on the extending side
};

struct Answer {
  Count bled, parallel;
  std::size_t members = 0, failed = 0;
  double tolerance_m = 0, confidence = 0;
  int max_strokes = 0;
  std::vector<Leftover> limiting;
  std::string reason;             ///< why it is never, from the nominal run; empty when it is not
  Table table;                    ///< the members' inputs
  Run nominal;                    ///< the run with the values as given
  bool complete = true;           ///< false: interrupted; the counts stand for the members done
};

inline constexpr std::size_t first_look = 64, last_look = 256;

struct AnswerOptions {
  double confidence = 0.95;       ///< 0.5 ... 0.999
  /// 2 ... 65536; 0: first_look, then twice as many until all numbers of both counts are known to half a stroke, at most
  /// last_look. A longer sample begins with the shorter one.
  std::size_t members = 0;
  std::uint64_t seed = 1;
  BatchOptions batch;
};

/// How many bleed strokes until the air's part of the mismatch, and the whole mismatch, stay inside the tolerance.
/// The band is "confidence of the members of the stated inputs", not a confidence about the world.
Answer strokes_to_parallel(const Rig&, const Contents&, const Procedure&, const AnswerOptions& = {});

/// Order-statistic quantile (type 1: the smallest value with at least the share q at or below it), infinities allowed.
/// Throws InputError without values, or for a share outside 0 ... 1.
double quantile(std::vector<double> values, double q);

/// Range that a quantile of what the values are drawn from lies in, by the binomial law of their ranks: it is below, and
/// above, with a probability of 5 % at most. No count is below 1 or above infinity. Drawn one by one; Sobol' points do better.
struct Known { double low, high; };
Known known_to(std::vector<double> counts, double q);

}  // namespace evenstroke
