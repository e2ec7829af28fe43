#pragma once
#include <vector>

#include "evenstroke/network/contents.hpp"

namespace evenstroke {

/// Order in which branches enter a network: by their parameters, loads and contents, not by their names, so that swapping
/// two branches gives the same arithmetic and flips the sign of a mismatch exactly.
std::vector<int> canonical_order(const Rig&, const Contents&);

}  // namespace evenstroke
