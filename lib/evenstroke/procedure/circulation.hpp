#pragma once
#include <string>

#include "evenstroke/flow/model.hpp"

namespace evenstroke {

/// Looks for a way that oil can take from the pump into the reservoir, a container or the open under this drive, pistons
/// standing still; relief valve and leaks are none. Empty where there is one; else the places at which all ways end.
/// tests: tests/procedure/circulation_test.cpp
std::string dead_ends(const Network&, const Drive&);

}  // namespace evenstroke
