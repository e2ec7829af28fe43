#pragma once

namespace evenstroke {

/// Long bubble (slug) in a round line.
///   film     h/R = 1.34 Ca^(2/3) / (1 + 3.35 Ca^(2/3))        Ca = mu U_b / sigma, on the bubble's speed
///   k(Ca) =  U_b / U_m = 1/(1 - h/R)^2, capped at 2.5          (implicit: Ca needs U_b = k U_m)
///   valid: Ca <= 2 (data), cap beyond; laminar                 tests: tests/air/slug_test.cpp
double slug_film_share(double ca);                              ///< m = 1 - (1 - h/R)^2, part of the bore left coated
double slug_speed_ratio(double mean_speed_m_per_s, double mu_pa_s, double sigma_n_per_m);   ///< k, with its own Ca
/// Bore below which a long bubble does not rise in a closed vertical line (Bretherton 1961):
/// 2 * 0.918 * sqrt(sigma/((rho - rho_gas) g))
double critical_bore_m(double sigma_n_per_m, double rho_kg_per_m3, double rho_gas_kg_per_m3 = 0);
/// A gas parcel is a slug when it is larger than the sphere that fills the bore: V > (pi/6) d^3.
bool is_slug(double gas_m3, double bore_m);

/// Rise of a long bubble in a closed vertical line, oil at rest. Eo = rho g D^2/sigma, N = sqrt(g D^3) rho/mu,
/// Fr = V/sqrt(g D), with g (1 - rho_gas/rho) for g: 4 % less at 28 bar; 0 in gas as dense as the oil. Three laws, each
/// 0 where its own says so; near 4 mm they differ tenfold: the rise is an unknown.
///   Bretherton 1961 (published): Eo/4 - 0.842 = 1.25 Ca^(2/9) + 2.24 Ca^(1/3); data to Eo 4.2; 0 below Eo 3.368
///   Viana et al. 2003 (constants as an open flow code gives them): many pipes, 1 mPa s to 4 Pa s; no zero. Thick oil
///     (N < 10): their abstract prints a short form; below Eo 40 it gives more, 1.3 times at Eo 10, 3.6 times at Eo 4
///   Wallis 1969 (from the same code): 0.345 [1 - exp(-0.01 N/0.345)] [1 - exp((3.37 - Eo)/m)], m 10..25;
///     0 below Eo 3.37
/// slug_rise: 0 up to Eo 3.37, then the lesser of Bretherton's and Viana's. Bretherton's grows with D^6 and
/// passes Viana's at Eo 4.7 (1 mm2/s) to 5.9 (15 mm2/s): beyond it is Viana's alone, without a jump.
/// tests: tests/air/slug_rise_test.cpp
double slug_rise_m_per_s(double bore_m, double mu_pa_s, double rho_kg_per_m3, double sigma_n_per_m,
                         double rho_gas_kg_per_m3 = 0);
double slug_rise_bretherton(double bore_m, double mu_pa_s, double rho_kg_per_m3, double sigma_n_per_m,
                            double rho_gas_kg_per_m3 = 0);
double slug_rise_viana(double bore_m, double mu_pa_s, double rho_kg_per_m3, double sigma_n_per_m,
                       double rho_gas_kg_per_m3 = 0);
double slug_rise_wallis(double bore_m, double mu_pa_s, double rho_kg_per_m3, double sigma_n_per_m,
                        double rho_gas_kg_per_m3 = 0);
/// Closed line at an angle: rise times |sine of the angle to the horizontal|, a lower bound (tilt first speeds it
/// up, Zukoski 1966); 0 in a level line.
double slug_rise_inclined_m_per_s(double bore_m, double mu_pa_s, double rho_kg_per_m3, double sigma_n_per_m,
                                  double sin_incline, double rho_gas_kg_per_m3 = 0);
/// Speed of the air that creeps into an open end while the other end is shut. sin_down: 1 mouth looks down, 0 level.
///   down: slug_rise; level: Fr_h = max(0, 0.54 - 1.76 Eo^-0.56) (Weber 1981, from memory) times one for thick oil,
///   min(1, 0.53 exp(-13.7 N^-0.46 Eo^-0.1)/0.54) (Jeyachandra et al. 2012, from memory); between: Fr_h cos + Fr_v sin
///   (Bendiksen 1984, from memory). 0 below the critical bore, and when the mouth looks up: there the oil stays.
double open_end_exchange_m_per_s(double bore_m, double mu_pa_s, double rho_kg_per_m3, double sigma_n_per_m,
                                 double sin_down, double rho_gas_kg_per_m3 = 0);
/// Above this bore oil at an open mouth that looks down cannot hang: 2 * 1.841 * sqrt(sigma/(rho g)), 1.841 the first
/// zero of J1' (static limit, from memory).
double draining_bore_m(double sigma_n_per_m, double rho_kg_per_m3);
/// Pressure across the surface of oil in an open end: 4 sigma/bore (Laplace), the surface a hemisphere, the wall wetted
/// (contact angle 0: oil on steel and polyamide, assumption). The weight of the oil beside the hemisphere is left out,
/// a third of the radius as a height of oil: too much by 5 % at 2 mm, by a fifth at 4 mm (Rayleigh 1916, from memory).
///   oil up to the mouth   its edge holds the surface, dented in or bulging out: up to this difference nothing moves,
///                         either way; what is more drives. A drop past the hemisphere holds less, a jet half of it:
///                         what runs out pays at most this
///   air in the end        the surface stands in the line and draws the oil after it, whichever way it goes: at rest it
///                         stands 4 sigma/(rho g bore) above the level that feeds it (Jurin)
/// A mouth that looks down, shut above: up to critical_bore it holds for ever. From there to draining_bore what holds
/// depends on how it was parted; air is taken to creep in at open_end_exchange times the rig's air.slug_rise (0: it
/// holds). Above draining_bore nothing holds: the full exchange, whatever air.slug_rise, and no capillary pressure.
double capillary_pa_diff(double bore_m, double sigma_n_per_m);

}  // namespace evenstroke
