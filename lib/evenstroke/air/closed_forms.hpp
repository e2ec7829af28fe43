#pragma once

namespace evenstroke {

/// Results of whole systems that have a formula. Air volumes at 1 atm; n: polytropic index.
/// tests: tests/air/closed_forms_test.cpp
/// Rod lost to free air between 1 atm and p:  V0 [1 - (p0/p)^(1/n)]/A
double air_offset_m(double air_m3, double area_m2, double p_pa_abs, double index);
/// Locked cylinder whose piston seal leaks: both chambers end at W/A_rod (gauge, as the load's weight is)
double locked_pressure_pa_gauge(double load_n, double rod_area_m2);
/// Time of a flow Q to bring oil of volume V with air in it from 1 atm to p:  {V0 [1 - (p0/p)^(1/n)] + V (p - p0)/K}/Q
double pressurise_time_s(double air_m3, double oil_m3, double bulk_modulus_pa, double p_pa_abs, double index,
                         double flow_m3_per_s);
/// Stiffness of one side for quick, small motions around p after a slow rise to p:  A^2/[V/K + (V0 p0/p)/(n p)]
double stiffness_n_per_m(double area_m2, double oil_m3, double bulk_modulus_pa, double air_m3, double p_pa_abs,
                         double index);
double natural_frequency_hz(double stiffness_n_per_m, double mass_kg);   ///< sqrt(k/m)/(2 pi)
/// Share of dispersed air left after a cycle of a closed circuit (one side's return feeds the other; only the surplus
/// of the retraction reaches the reservoir). alpha = A_cap/A_rod_side > 1. Chambers swept wholly: 1/alpha.
/// With stirred lines each stroke changes the share phi = V_s/(V_s + V_line) of a side: greatest eigenvalue of
///   [1, phi_r; 0, 1 - phi_r] [1 - phi_c, 0; phi_c/alpha, 1]        own derivation
double closed_circuit_survival(double area_ratio);
double closed_circuit_survival_mixed(double area_ratio, double cap_share, double rod_share);

}  // namespace evenstroke
