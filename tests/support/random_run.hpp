#pragma once
#include <cstdlib>

#include "evenstroke/procedure/run.hpp"

namespace evenstroke::testing {

/// How many the environment asks for, EVENSTROKE_RANDOM_RIGS; 100 if it does not.
inline unsigned long cases() {
  const char* text = std::getenv("EVENSTROKE_RANDOM_RIGS");
  const unsigned long asked = text ? std::strtoul(text, nullptr, 10) : 0;
  return asked > 0 ? asked : 100;
}

/// Coarse, for speed: what is asked here holds at any resolution.
inline RunOptions quick(bool checks) {
  RunOptions o;
  o.checks = checks;
  o.stop_at_verdict = false;
  o.max_samples = 400;
  o.resolution.streamtubes = 3;
  o.resolution.quantum_share = 0.2;
  o.resolution.ln_pressure = 0.3;
  o.resolution.rel_tol = 1e-4;
  o.resolution.max_steps = 60000;
  return o;
}

}  // namespace evenstroke::testing
