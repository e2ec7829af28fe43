#pragma once
#include <functional>

#include "evenstroke/transport/march.hpp"

namespace evenstroke::testing {

/// After each quantum; true = enough.
using After = std::function<bool(const Contents&, const FlowEngine::Quantum&)>;

/// One phase. Compiled once for all tests: the engine's templates are what takes their compiler's time.
Outcome drive_through(March&, Contents&, const Drive&, double time_s, const After&);

}  // namespace evenstroke::testing
