#pragma once
#include <string>
#include <vector>

#include "evenstroke/network/contents.hpp"

namespace evenstroke {

/// What of a rig can be run but is hardly meant, a sentence each: a reservoir that the rods draw down to its intake, a motor
/// for another voltage with the constants of the 12 V one, cylinders of unlike bore on metering chambers made to match.
std::vector<std::string> doubts(const Rig&, const Contents& start);

}  // namespace evenstroke
