#pragma once
#include <string>

namespace evenstroke {

/// How a run ended. Everything but `ok` is nature's or the solver's answer, never the caller's mistake.
enum class Outcome { ok, interrupted, step_budget, step_too_small, pivot, not_finite, stalled };

const char* to_string(Outcome);

/// What ended a run, when, where and why; a run that stops early keeps everything computed so far.
struct Status {
  Outcome outcome = Outcome::ok;
  double time_s = 0;      ///< when
  std::string quantity;   ///< which quantity, by part name and unit
  double value = 0;       ///< its last value
  std::string message;    ///< one sentence, with the likely cause
  bool ok() const { return outcome == Outcome::ok; }
};

}  // namespace evenstroke
