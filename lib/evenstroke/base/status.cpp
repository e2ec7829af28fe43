#include "evenstroke/base/status.hpp"

namespace evenstroke {

const char* to_string(Outcome outcome) {
  switch (outcome) {
    case Outcome::ok: return "ok";
    case Outcome::interrupted: return "interrupted";
    case Outcome::step_budget: return "step_budget";
    case Outcome::step_too_small: return "step_too_small";
    case Outcome::pivot: return "pivot";
    case Outcome::not_finite: return "not_finite";
    case Outcome::stalled: return "stalled";
  }
  return "unknown";
}

}  // namespace evenstroke
