#pragma once
#include "evenstroke/network/contents.hpp"

namespace evenstroke {

/// What compressed contents could still do against the atmosphere at one temperature [J], >= 0, summed over all places:
///   gas     G (ln p/p0 - 1 + p0/p)           G = m_air R T [J]
///   oil     V_oil int x K0/(K0 + A x)^2 dx   x = 0 ... p - p0, the liquid's law of fluid/liquid.hpp
///   wall    C_w (p - p0)^2/2                 cavity  (p0 - p) V_cavity
/// tests: tests/network/stored_work_test.cpp
double stored_work_j(const Network&, const Contents&);

}  // namespace evenstroke
