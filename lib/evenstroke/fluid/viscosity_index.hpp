#pragma once

namespace evenstroke {

/// Viscosity index (ASTM D2270): how little an oil thins with heat.   U = nu_40, Y = nu_100, both in mm2/s
///   U >= H:  VI = 100 (L - U)/(L - H)          U < H:  VI = 100 + (10^N - 1)/0.00715,   N = log(H/U)/log Y
///   L(Y), H(Y): viscosity at 40 deg C of the reference oils of index 0 and 100; quadratics in Y, piece by piece
///   valid: Y >= 2 mm2/s                        tests: tests/fluid/viscosity_index_test.cpp
double viscosity_index(double nu_40_m2_per_s, double nu_100_m2_per_s);

/// The nu_100 [m2/s] that gives an oil of nu_40 the index wanted. Thin oils (nu_40 < 6.4 mm2/s) end below the range of
/// the standard: indices up to 100 then rest on its first piece carried on down, higher ones are refused.
double nu_100_of_index(double nu_40_m2_per_s, double viscosity_index);

}  // namespace evenstroke
