#include "evenstroke/components/panel.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "support/near.hpp"
#include "components/refused.hpp"

using namespace evenstroke;

namespace {

Panel panel(double mass_kg, double centre_of_mass) {
  Panel p;
  p.mass_kg = mass_kg;
  p.centre_of_mass = centre_of_mass;
  return p;
}

}  // namespace

TEST_SUITE("components/panel") {
  TEST_CASE("balance: the rods carry the weight, however many they are") {
    for (int n = 1; n <= 8; ++n) {
      CAPTURE(n);
      double sum = 0;
      for (double w : static_load_n(panel(180, 0.6), n)) sum += w;
      CHECK(near(sum, 180 * 9.80665, 1e-13, 0));
      CHECK(static_load_n(panel(180, 0.6), n).size() == static_cast<std::size_t>(n));
    }
  }

  TEST_CASE("balance: moments about the first rod close") {
    const auto w = static_load_n(panel(180, 0.6), 2);
    CHECK(near(w[1] * 1.0, 180 * 9.80665 * 0.6, 1e-13, 0));
    CHECK(w[1] > w[0]);
  }

  TEST_CASE("limit: a centre of mass over one rod leaves the other free, no mass loads none") {
    CHECK(static_load_n(panel(180, 0), 2)[1] == 0.0);
    CHECK(static_load_n(panel(0, 0.6), 2)[0] == 0.0);
  }

  TEST_CASE("law: the coupling stores the energy of the twisted panel") {
    Panel p = panel(180, 0.5);
    p.spacing_m = 1.1;
    p.torsion_n_m_per_rad = 2600;
    const double mismatch_m = 2e-3, twist_rad = mismatch_m / 1.1;
    CHECK(near(coupling_n_per_m(p) * mismatch_m * mismatch_m, 2600 * twist_rad * twist_rad, 1e-13, 0));
  }

  TEST_CASE("check: nonsense is refused by name") {
    CHECK(refused(panel(0, 0.5)) == "");
    CHECK(refused(Panel{}) == "part.mass_kg");
    CHECK(refused(panel(-1, 0.5)) == "part.mass_kg");
    CHECK(refused(panel(180, 1.5)) == "part.centre_of_mass");
    Panel p = panel(180, 0.5);
    p.spacing_m = 0;
    CHECK(refused(p) == "part.spacing_m");
    p = panel(180, 0.5);
    p.torsion_n_m_per_rad = -1;
    CHECK(refused(p) == "part.torsion_n_m_per_rad");
    CHECK_THROWS_AS(static_load_n(panel(180, 0.5), 0), InputError);
  }
}
