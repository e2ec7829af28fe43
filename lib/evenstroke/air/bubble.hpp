#pragma once

namespace evenstroke {

/// Single bubbles, smaller than the bore.                                          tests: tests/air/bubble_test.cpp
///   size      d = d0 (p0/p)^(1/3)                     d0 at 1 atm; isothermal; surface tension left out (d > 0.02 mm)
///   rise      U (1 + 0.15 Re^0.687) = rho g d^2/(18 mu), Re = rho U d/mu: rigid sphere, Stokes' drag with the factor
///             of Schiller and Naumann (1933, from memory), Re < 800; drag coefficient at least 0.44 beyond.
///             Oil with additives makes the surface rigid; a clean one rises up to 1.5 times as fast. The air's own
///             weight is left out: 0.1 % at 1 atm, a sixth at 120 bar. So are walls; they slow it (d/D 0.25: by half).
///   break-up  largest that survives a stretching flow at rate G: d = 2 Ca_c sigma/(mu G), Ca_c = 0.148 lambda^(-1/6),
///             lambda = mu_air/mu (Acrivos and Lo 1978, from memory)
///   creamed   u/U of a bubble that touches the wall of a line in laminar flow at mean speed U: the profile at its
///             centre, D/2 - d/2 off the axis: 2 [1 - (1 - d/D)^2]. Its lag behind the profile is left out.
///   creaming  share of the bubbles of a level line still off its upper wall when they have risen T = U t/(D - d): their
///             centres fill a disc, those outside the disc shifted by T are at the wall: 2/pi (acos T - T sqrt(1 - T^2)),
///             slope -4/pi at first, 0 from T = 1 on
double bubble_diameter_m(double d0_m, double p_pa_abs);
double bubble_rise_m_per_s(double d_m, double mu_pa_s, double rho_kg_per_m3);
double breakup_diameter_m(double shear_per_s, double mu_pa_s, double sigma_n_per_m);   ///< infinite in oil at rest
double creamed_speed_ratio(double d_m, double bore_m);                                 ///< 2 once it fills the bore
double suspended_share(double risen);                                                  ///< risen: T, not negative

}  // namespace evenstroke
