#pragma once
#include <cstdint>
#include <vector>

#include "evenstroke/analysis/batch.hpp"

namespace evenstroke {

/// `points` x `dimensions` numbers in [0, 1), row-major: Sobol' points with a digital shift (XOR) drawn from the seed.
/// Each row depends on its index and the seed only.
std::vector<double> sobol_points(std::size_t points, std::size_t dimensions, std::uint64_t seed);

/// The fields of a rig whose truth is a band, and members drawn from it, uniform in each band.
Table members_from_bands(const Rig&, std::size_t members, std::uint64_t seed);

}  // namespace evenstroke
