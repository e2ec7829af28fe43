// What holds oil in an open end, and what gas under pressure takes from its own buoyancy: air/slug.hpp.
#include <doctest/doctest.h>

#include <cmath>

#include "evenstroke/air/slug.hpp"
#include "evenstroke/base/constants.hpp"
#include "evenstroke/base/error.hpp"
#include "support/near.hpp"

using namespace evenstroke;

namespace {

constexpr double rho = 860, sigma = 0.030, g = gravity_m_per_s2, mu = 0.0275;
double gas_at(double p_pa_abs) { return p_pa_abs / (air_gas_constant * t0_k); }

}  // namespace

TEST_SUITE("air/open_end") {
  TEST_CASE("reference: how high water stands in a clean glass tube") {
    // OpenStax, College Physics, ch. 11, problem 79: 2.97 cm at 0.500 mm radius; water at 20 deg C, 0.0728 N/m
    CHECK(near(capillary_pa_diff(1e-3, 0.0728) / (1000 * g), 2.97e-2, 0, 0.005e-2));
    // A fluid mechanics e-book's case "Capillary action": 14.6 mm and 1.46 mm at 1 mm and 10 mm radius; 30 deg C,
    // 0.0712 N/m, 995.7 kg/m3. Real water in the wider one stands lower: its surface is no hemisphere.
    CHECK(near(capillary_pa_diff(2e-3, 0.0712) / (995.7 * g), 14.6e-3, 0, 0.05e-3));
    CHECK(near(capillary_pa_diff(20e-3, 0.0712) / (995.7 * g), 1.46e-3, 0, 0.005e-3));
  }

  TEST_CASE("check: the weight left out is a third of the radius, 5 % at 2 mm and a fifth at 4 mm") {
    // A hemisphere of air in a cylinder of its own height leaves 1/3 of that cylinder to oil: pi R^3/3.
    const auto left_out = [](double bore_m) { return bore_m / 6 / (capillary_pa_diff(bore_m, sigma) / (rho * g)); };
    CHECK(near(left_out(2e-3), 0.05, 0, 0.005));
    CHECK(near(left_out(4e-3), 0.2, 0, 0.015));
  }

  TEST_CASE("check: critical bore at 28 bar, 3.53 mm instead of 3.46") {
    CHECK(near(gas_at(28e5), 33.3, 0, 0.05));                                  // ideal gas, by hand
    CHECK(near(critical_bore_m(sigma, rho), 3.463e-3, 0, 0.002e-3));
    CHECK(near(critical_bore_m(sigma, rho, gas_at(28e5)), 3.532e-3, 0, 0.002e-3));   // 3.463/sqrt(1 - 33.3/860)
    for (const auto law : {slug_rise_m_per_s, slug_rise_bretherton, slug_rise_wallis}) {
      CHECK(law(3.50e-3, mu, rho, sigma, gas_at(1e5)) > 0);
      CHECK(law(3.50e-3, mu, rho, sigma, gas_at(28e5)) == 0);
      CHECK(law(3.55e-3, mu, rho, sigma, gas_at(28e5)) > 0);
    }
  }

  TEST_CASE("law: dense gas does what weaker gravity would; gas as dense as the oil does not rise") {
    // Half the buoyancy in a bore wider by sqrt(2) is the same Eo, and Bretherton's Ca hangs on Eo alone.
    for (const double bore_m : {4e-3, 6e-3}) {
      CAPTURE(bore_m);
      const double half = slug_rise_bretherton(std::sqrt(2.0) * bore_m, mu, rho, sigma, rho / 2);
      CHECK(near(half, slug_rise_bretherton(bore_m, mu, rho, sigma), 1e-10, 0));
      // Same Eo and N with gravity halved: speeds go with sqrt(g D).
      const double wide_m = std::sqrt(2.0) * bore_m, thick = mu * std::pow(2.0, 0.25);
      for (const auto law : {slug_rise_viana, slug_rise_wallis}) {
        const double alone = law(bore_m, mu, rho, sigma, 0);
        CHECK(near(law(wide_m, thick, rho, sigma, rho / 2), alone * std::pow(2.0, -0.25), 1e-12, 0));
      }
      for (const auto law : {slug_rise_m_per_s, slug_rise_bretherton, slug_rise_viana, slug_rise_wallis})
        for (const double gas : {rho, 2 * rho}) CHECK(law(bore_m, mu, rho, sigma, gas) == 0);
      for (const double down : {0.0, 0.5, 1.0})
        CHECK(open_end_exchange_m_per_s(bore_m, mu, rho, sigma, down, rho) == 0);
    }
  }

  TEST_CASE("check: nonsense is refused") {
    CHECK_THROWS_AS(capillary_pa_diff(0, sigma), InputError);
    CHECK_THROWS_AS(capillary_pa_diff(4e-3, std::nan("")), InputError);
    CHECK_THROWS_AS(critical_bore_m(sigma, rho, rho), InputError);
    CHECK_THROWS_AS(critical_bore_m(sigma, rho, -1), InputError);
    CHECK_THROWS_AS(slug_rise_m_per_s(4e-3, mu, rho, sigma, -1), InputError);
    CHECK_THROWS_AS(slug_rise_viana(4e-3, mu, rho, sigma, std::nan("")), InputError);
  }
}
