#pragma once
#include <string>
#include <vector>

#include "evenstroke/network/contents.hpp"

namespace evenstroke {

/// Joints that one list has and the other has not.
std::vector<std::string> without(const std::vector<std::string>& joints, const std::vector<std::string>& others);

/// A joint is made: air.joint_m3 of air is shut in, and the oil it stands in the place of is spilled. At a line it lies as a
/// slug at the cylinder's end, at a port of the valve block as coarse bubbles in its passage.
void make_joint(Contents&, const Network&, const std::string& joint);

/// Places on both sides of a joint that have the pressure of what it parts: line and chamber, or the block's passage.
std::vector<std::size_t> at_joint(const Network&, const std::string& joint);

/// Reservoir and container are filled up to where they stood at the start, with oil that holds air as it did then.
/// Returns the mass of that dissolved air.
double refill(Contents&, const Network&);

}  // namespace evenstroke
