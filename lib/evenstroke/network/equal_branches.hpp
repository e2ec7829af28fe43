#pragma once
#include <vector>

#include "evenstroke/network/contents.hpp"

namespace evenstroke {

/// All that tells one branch from another, in numbers: its load, its parameters, what it holds and how it moves; not its name.
std::vector<double> branch_key(const Rig&, const Contents&, std::size_t branch);

/// Flow states (edges first, then axes) that are one and the same number for as long as nothing outside tells their
/// branches apart: one group for each edge and rod of branches that are equal to the last bit and connected alike. Round-off
/// in shared sums would part them, and a line that fills with gas, resists less and draws more of the flow would let that
/// grow without bound; the equations do not.
/// tests: tests/network/equal_branches_test.cpp, tests/limits/symmetry_test.cpp
std::vector<std::vector<int>> equal_states(const Network&, const Contents&);

}  // namespace evenstroke
