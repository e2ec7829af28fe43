#pragma once
#include <string>
#include <vector>

#include "evenstroke/network/contents.hpp"

namespace evenstroke {

/// The same contents with oil where these places had free air: every place keeps its pressure, the oil has as much dissolved
/// air to the kilogram as what stood there (as open oil, where there was none). Throws InputError for an unknown place, and
/// unless the contents come from a rig with the same parts.         tests: tests/network/without_air_test.cpp
Contents without_air(const Contents&, const Rig&, const std::vector<std::string>& places);

}  // namespace evenstroke
