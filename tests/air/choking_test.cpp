#include "evenstroke/air/choking.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "evenstroke/base/error.hpp"
#include "support/near.hpp"

using namespace evenstroke;

namespace {

/// Mass flux squared over (upstream pressure x density), by quadrature of dp/rho along the way down to r.
double flux2(double w, double r) {
  const auto volume = [w](double x) { return w * (1 / x - 1) + 1; };
  constexpr int n = 2000;
  const double span = -std::log(r);  // Simpson in ln p: the gas term is then smooth down to small r
  double sum = 0;
  for (int i = 0; i <= n; ++i) {
    const double x = std::exp(-span * i / n);
    sum += (i == 0 || i == n ? 1 : i % 2 ? 4 : 2) * volume(x) * x;
  }
  return 2 * sum * span / (3 * n) / (volume(r) * volume(r));
}

}  // namespace

TEST_SUITE("air/choking") {
  TEST_CASE("limit: oil alone never chokes, gas alone at exp(-1/2)") {
    CHECK(choke_ratio(0) == 0);
    CHECK(near(choke_ratio(1), std::exp(-0.5), 1e-14, 0));
    CHECK(near(choke_ratio(1e-10), std::sqrt(2e-10), 1e-4, 0));
    CHECK(choke_ratio(1e-300) > 0);
    CHECK(choke_ratio(5e-324) >= 0);
  }

  TEST_CASE("law: more gas chokes earlier") {
    double last = 0;
    for (double w = 1e-9; w <= 1; w = w < 0.01 ? 2 * w : w + 0.005) {
      CAPTURE(w);
      CHECK(choke_ratio(w) > last);
      last = choke_ratio(w);
    }
  }

  TEST_CASE("agreement: the greatest mass flux, found by search on a quadrature") {
    for (const double w : {1e-4, 0.01, 0.1, 0.3, 0.6, 0.95}) {
      CAPTURE(w);
      double a = 1e-4, b = 0.99;
      for (int i = 0; i < 60; ++i) {  // golden section; a flat top leaves about half of the digits
        const double third = 0.381966 * (b - a);
        const bool left = flux2(w, a + third) > flux2(w, b - third);
        (left ? b : a) = left ? b - third : a + third;
      }
      CHECK(near(choke_ratio(w), (a + b) / 2, 1e-5, 0));
    }
  }

  TEST_CASE("balance: in the throat the mixture moves at its own speed of sound") {
    // Isothermal gas in incompressible oil: 1/c^2 = rho share/p (Wood 1930), so flux^2/(p_up rho_up) = r^2/w.
    for (const double w : {1e-3, 0.02, 0.2, 0.5, 0.9, 1.0}) {
      CAPTURE(w);
      const double r = choke_ratio(w);
      CHECK(near(flux2(w, r), r * r / w, 1e-10, 0));
    }
  }

  TEST_CASE("limit: the drop that drives the greatest flux is all of the pressure for oil alone, 1/(2e) of it for gas alone") {
    CHECK(choke_drop_share(0) == 1);
    CHECK(near(choke_drop_share(1), 0.5 * std::exp(-1.0), 1e-14, 0));
    CHECK(near(choke_drop_share(1e-8), 1, 1e-3, 0));
    for (const double w : {1e-3, 0.02, 0.2, 0.5, 0.9}) {
      CAPTURE(w);
      const double share = choke_drop_share(w);
      for (double r = 0.01; r < 1; r += 0.01) CHECK(2 * share >= flux2(w, r) * (1 - 1e-9));
      CHECK(near(2 * share, flux2(w, choke_ratio(w)), 1e-9, 0));
    }
  }

  TEST_CASE("check: nonsense is refused") {
    CHECK_THROWS_AS(choke_ratio(-1e-9), InputError);
    CHECK_THROWS_AS(choke_ratio(1.001), InputError);
    CHECK_THROWS_AS(choke_ratio(std::nan("")), InputError);
  }
}
