#pragma once

namespace evenstroke {

/// Pressure ratio throat/upstream at which an oil-air mixture chokes in a short restriction.
/// Homogeneous (no slip), no change of phase, oil incompressible, gas isothermal (small bubbles); `w`: upstream share
/// of the volume that is gas. Along the way down v/v_up = w (p_up/p - 1) + 1, so with r = p/p_up the mass flux obeys
///   G^2/(p_up rho_up) = 2 [-w ln r + (1 - w)(1 - r)]/(w (1/r - 1) + 1)^2
/// and is greatest where  r^2 + (w^2 - 2 w)(1 - r)^2 + 2 w^2 (ln r + 1 - r) = 0  (Leung 1986, his omega; from memory,
/// derived again). w = 0: 0, oil alone never chokes; w = 1: exp(-1/2), an isothermal ideal gas.
/// tests: tests/air/choking_test.cpp
double choke_ratio(double void_share);

/// The drop, as a share of p_up, at which a law with the density upstream, G^2 = 2 rho_up dp, gives the greatest flux:
///   G^2/(2 p_up rho_up) at r      1 for oil alone, 1/(2e) for gas alone
double choke_drop_share(double void_share);

}  // namespace evenstroke
