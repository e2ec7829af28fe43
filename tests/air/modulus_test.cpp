#include "evenstroke/air/modulus.hpp"

#include <doctest/doctest.h>

#include "evenstroke/air/closure.hpp"
#include "support/dual.hpp"
#include "support/near.hpp"

using namespace evenstroke;

namespace {
// A = 1/2 makes the tangent modulus constant up to (pg/K0)^2/4: the "constant K" of the textbooks.
constexpr LiquidLaw<> textbook{.k0_pa = 1.5e9, .slope = 0.5};
}  // namespace

TEST_SUITE("air/modulus") {
  TEST_CASE("reference: a pocket of gas alone is as stiff as n p") {
    // K. Subramanya, 1000 Solved Problems in Fluid Mechanics, Example 1.24: 80 kPa, adiabatic, printed 112 kPa.
    CHECK(near(effective_modulus(1.0, 80e3, 1.4, textbook), 112e3, 1e-12, 0));
    CHECK(near(effective_modulus(1.0, 80e3, 1.0, textbook), 80e3, 1e-12, 0));
  }

  TEST_CASE("law: the void fraction counts at pressure; the atmospheric one is wrong by 2.5 at 100 bar") {
    const double p = 100e5, alpha0 = 0.01;
    const double right = effective_modulus(alpha0, p, 1.0, textbook);
    const double wrong = 1 / (alpha0 / p + (1 - alpha0) / 1.5e9);
    CHECK(near(right / wrong, 2.5, 0.03, 0));
    // Boyle on the gas alone; the content as a whole has shrunk, too, by 1.7 %
    CHECK(near(void_fraction(alpha0, p, 1.0, textbook), alpha0 * p0_pa_abs / p, 0.02, 0));
    CHECK(void_fraction(alpha0, p0_pa_abs, 1.0, textbook) == alpha0);
  }

  TEST_CASE("agreement: K_eff is -V dp/dV of the closure's content") {
    for (const double alpha0 : {1e-6, 0.001, 0.03, 0.5, 0.99}) {
      Closure<Dual> content;
      content.oil_m3 = 1 - alpha0;
      content.gas_j = alpha0 * p0_pa_abs;
      content.liquid = {1.6e9, 5.3};
      for (const double p : {2e4, 1e5, 1e6, 1.2e7, 8e7}) {
        CAPTURE(alpha0);
        CAPTURE(p);
        const Dual v = content_volume(content, Dual(p, 1));
        CHECK(near(effective_modulus(alpha0, p, 1.0, LiquidLaw<>{1.6e9, 5.3}), -v.v / v.d, 1e-12, 0));
        CHECK(near(relative_content(alpha0, p, 1.0, LiquidLaw<>{1.6e9, 5.3}), v.v, 1e-13, 0));
      }
    }
  }

  TEST_CASE("derivative: K_eff of adiabatic air against dual numbers") {
    for (const double p : {1e5, 1e6, 1.2e7}) {
      CAPTURE(p);
      const LiquidLaw<Dual> l{1.6e9, 5.3};
      const Dual v = relative_content(Dual(0.03), Dual(p, 1), Dual(1.4), l);
      CHECK(near(effective_modulus(0.03, p, 1.4, LiquidLaw<>{1.6e9, 5.3}), -v.v / v.d, 1e-12, 0));
    }
  }

  TEST_CASE("limit: adiabatic air is stiffer only below p0 n^(n/(n-1))") {
    // 3.25 p0 for n = 1.4: beyond it the adiabatic gas has kept more volume. Exact for a liquid that gives no volume.
    const LiquidLaw<> rigid{.k0_pa = 1e15, .slope = 0.5};
    const double crossing = p0_pa_abs * std::pow(1.4, 1.4 / 0.4);
    CHECK(effective_modulus(0.01, 0.99 * crossing, 1.4, rigid) > effective_modulus(0.01, 0.99 * crossing, 1.0, rigid));
    CHECK(effective_modulus(0.01, 1.01 * crossing, 1.4, rigid) < effective_modulus(0.01, 1.01 * crossing, 1.0, rigid));
  }

  TEST_CASE("reference: slowest sound in bubbly water") {
    // Wood 1930. Water at 20 deg C, 1 atm: 998.207 kg/m3, K_T 2.17906 GPa (IAPWS-95); air 1.2046 kg/m3. Isothermal
    // bubbles: the 20 m/s of the handbooks (round figure, from memory), near half void.
    double slowest = 1e9, where = 0;
    for (double alpha = 0.001; alpha < 0.9995; alpha += 0.0005) {
      const double c = wood_speed(alpha, 1.2046, p0_pa_abs, 998.207, 2.17906e9);
      if (c < slowest) slowest = c, where = alpha;
    }
    CHECK(near(slowest, 20.1, 0, 0.05));
    CHECK(near(slowest, 2 * std::sqrt(p0_pa_abs / 998.207), 1e-3, 0));  // its closed form for heavy, stiff liquids
    CHECK(near(where, 0.5, 0, 0.002));
    // sqrt(K/rho) of either phase alone; pure water is 1482.35 m/s with K_S = 1.0066 K_T (IAPWS-95)
    CHECK(near(wood_speed(0.0, 1.2046, p0_pa_abs, 998.207, 2.17906e9 * 1.0066), 1482.35, 1e-4, 0));
    CHECK(near(wood_speed(1.0, 1.2046, 1.4 * p0_pa_abs, 998.207, 2.17906e9), 343.3, 1e-3, 0));  // air, 20 deg C
  }

  TEST_CASE("agreement: Wood's speed is sqrt(K_eff/rho) of the same mixture") {
    for (const double p : {1e5, 1e6, 1.2e7}) {
      CAPTURE(p);
      const double alpha0 = 0.03, v = relative_content(alpha0, p, 1.0, textbook), liquid = relative_volume(textbook, p);
      const double rho = (alpha0 * 1.2046 + (1 - alpha0) * 870) / v;  // mass is kept, volume shrinks
      const double c = wood_speed(void_fraction(alpha0, p, 1.0, textbook), 1.2046 * p / p0_pa_abs, p, 870 / liquid,
                                  bulk_modulus(textbook, p));
      CHECK(near(c, std::sqrt(effective_modulus(alpha0, p, 1.0, textbook) / rho), 1e-9, 0));
    }
  }

  TEST_CASE("reference: density of real air at 20 deg C") {
    // CoolProp 8.0.0, PropsSI('D', ..., 'Air'): an ideal gas is 1.2 % low at 50 bar, 0.8 % at 120.
    CHECK(near(gas_density(p0_pa_abs, 293.15), 1.20458, 1e-3, 0));
    CHECK(near(gas_density(50e5, 293.15), 60.1458, 0.015, 0));
    CHECK(near(gas_density(120e5, 293.15), 143.790, 0.015, 0));
  }

  TEST_CASE("balance: free air to mass and back, and into the closure") {
    const double mass = free_air_kg(1e-6);
    CHECK(near(free_air_m3(mass), 1e-6, 1e-15, 0));
    CHECK(near(gas_energy_j(mass, t0_k), p0_pa_abs * 1e-6, 1e-15, 0));
    CHECK(near(gas_volume_m3(mass, 2 * p0_pa_abs, t0_k), 0.5e-6, 1e-15, 0));
    CHECK(near(gas_volume_m3(mass, p0_pa_abs, 1.1 * t0_k), 1.1e-6, 1e-14, 0));
  }
}
