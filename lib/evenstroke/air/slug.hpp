#pragma once

namespace evenstroke {

/// Long bubble (slug) in a round line.
///   film     h/R = 1.34 Ca^(2/3) / (1 + 3.35 Ca^(2/3))        Ca = mu U_b / sigma, on the bubble's speed
///   k(Ca) =  U_b / U_m = 1/(1 - h/R)^2, capped at 2.5          (implicit: Ca needs U_b = k U_m)
///   valid: Ca <= 2 (data), cap beyond; laminar                 tests: tests/air/slug_test.cpp
double slug_film_share(double ca);                              ///< m = 1 - (1 - h/R)^2, part of the bore left coated
double slug_speed_ratio(double mean_speed_m_per_s, double mu_pa_s, double sigma_n_per_m);   ///< k, with its own Ca
/// Bore below which a long bubble does not rise in a closed vertical line (Bretherton 1961):
/// 2 * 0.918 * sqrt(sigma/(rho g))
double critical_bore_m(double sigma_n_per_m, double rho_kg_per_m3);
/// A gas parcel is a slug when it is larger than the sphere that fills the bore: V > (pi/6) d^3.
bool is_slug(double gas_m3, double bore_m);

}  // namespace evenstroke
