#pragma once

namespace evenstroke {

/// A gas pocket warms when squeezed and cools towards its wall.                 tests: tests/air/pocket_heat_test.cpp
///   time      tau = R^2/(5.8 D_th), D_th = 2.1e-5 m2/s p0/p: slowest mode of conduction in a round bore whose wall
///             keeps its temperature (2.405^2 = 5.78); still air at about 20 deg C, ideal gas
///   balance   dT/dt = (1 - 1/gamma) T d(ln p)/dt - (T - T_w)/tau, gamma = 1.4. With p growing by equal factors in
///             equal times this is linear and solved exactly: x = A - t/tau, A = (1 - 1/gamma) ln(p_to/p_from),
///             T = T_0 exp(x) + T_w (t/tau) (exp(x) - 1)/x.  Positive for any step.
///             tau = 0: T_w. tau infinite, or duration 0: adiabatic. One temperature per pocket.
double thermal_time_s(double radius_m, double p_pa_abs);
double pocket_temperature_k(double t_k, double wall_k, double p_from_pa_abs, double p_to_pa_abs, double duration_s,
                            double thermal_time_s);
/// n of p V^n between two states of the same gas, ln(p2/p1)/ln(v1/v2): 1 isothermal, 1.4 adiabatic; 1 when nothing
/// changed, infinite when only the pressure did.
double apparent_index(double p1_pa_abs, double v1_m3, double p2_pa_abs, double v2_m3);

}  // namespace evenstroke
