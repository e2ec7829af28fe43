#pragma once
#include <string>
#include <vector>

#include "evenstroke/network/contents.hpp"
#include "evenstroke/procedure/procedure.hpp"

namespace evenstroke {

/// What can be run but is hardly meant, a sentence each: a reservoir that the rods draw down to its intake, a motor for
/// another voltage with the constants of the 12 V one, cylinders of unlike bore on metering chambers made to match, strokes
/// with the bypass open under the panel.
std::vector<std::string> doubts(const Rig&, const Contents& start, const Procedure&);

}  // namespace evenstroke
