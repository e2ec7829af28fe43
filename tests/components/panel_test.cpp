#include "evenstroke/components/panel.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "support/dual.hpp"
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

Panel hatch() {
  Panel p = panel(100, 0.5);
  p.kind = PanelKind::hinged;
  p.hinge_to_eye_m = 0.4;
  p.hinge_to_foot_m = 0.6;
  p.foot_to_eye_m = 0.45;
  p.hinge_to_centre_m = 0.7;
  p.centre_elevation_rad = 0.2;
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

  TEST_CASE("balance: on a hinged panel the rod's moment about the hinge is the weight's, from coordinates alone") {
    const Panel p = hatch();
    const PanelLaw<> law = panel_law(p, 500);
    for (const double x : {0.0, 0.1, 0.2, 0.3}) {
      CAPTURE(x);
      // The hinge at the origin, the foot on an axis; the eye from two circles; the centre turns with the eye.
      const double l = 0.45 + x, ex = (0.4 * 0.4 + 0.6 * 0.6 - l * l) / (2 * 0.6), ey = std::sqrt(0.4 * 0.4 - ex * ex);
      const double ux = (ex - 0.6) / l, uy = ey / l;              // along the rod, from the foot at (0.6, 0)
      const double arm_m = ex * uy - ey * ux;                     // of the rod's force about the hinge
      const double x0 = (0.4 * 0.4 + 0.6 * 0.6 - 0.45 * 0.45) / (2 * 0.6), y0 = std::sqrt(0.4 * 0.4 - x0 * x0);
      const double turned = std::atan2(ey, ex) - std::atan2(y0, x0);
      const double weight_n_m = 500 * 0.7 * std::cos(p.centre_elevation_rad + turned);
      CHECK(near(law.force(x).n * arm_m, weight_n_m, 1e-9, 0));
    }
  }
  TEST_CASE("limit: the load changes its sign where the centre of mass stands over the hinge") {
    Panel p = hatch();
    p.centre_elevation_rad = 0.5 * std::numbers::pi;
    CHECK(near(panel_law(p, 500).force(0).n, 0, 0, 1e-9));
    p.centre_elevation_rad = 1.2;
    CHECK(panel_law(p, 500).force(0).n > 0);
    CHECK(panel_law(p, 500).force(0.3).n < 0);
  }
  TEST_CASE("derivative: the slope of a hinged load, and the load as the slope of its work, agree with dual numbers") {
    const Panel p = hatch();
    const PanelLaw<> law = panel_law(p, 500);
    const PanelLaw<Dual> dual{Dual(500), true, Dual(law.a), Dual(law.b), Dual(law.l), Dual(law.c), Dual(law.phi_0)};
    for (const double x : {0.0, 0.07, 0.15, 0.25, 0.3}) {
      CAPTURE(x);
      CHECK(near(dual.force(Dual(x, 1)).n.d, law.force(x).dn_dx, 1e-9, 1e-9));
      CHECK(near(dual.energy_j(Dual(x, 1)).d, law.force(x).n, 1e-10, 0));
    }
    CHECK(near(law.energy_j(0.0), 0, 0, 1e-12));
  }
  TEST_CASE("check: a hinged panel needs its triangle, a guided one has none") {
    Panel p = hatch();
    CHECK_NOTHROW(check(p, "part", 0.3));
    CHECK_THROWS_AS(check(p, "part", 0.6), InputError);           // foot to eye 1.05 m: hinge, foot and eye in one line
    p.hinge_to_eye_m = 0;
    CHECK(refused(p) == "part.hinge_to_eye_m");
    p = hatch();
    p.hinge_to_centre_m = 0;
    CHECK(refused(p) == "part.hinge_to_centre_m");
    p = hatch();
    p.foot_to_eye_m = 0.2;                                        // 0.6 - 0.4: flat
    CHECK(refused(p) == "part.foot_to_eye_m");
    p = panel(180, 0.5);
    p.hinge_to_foot_m = 0.6;
    CHECK(refused(p) == "part.hinge_to_foot_m");
    p = panel(180, 0.5);
    p.centre_elevation_rad = 0.1;
    CHECK(refused(p) == "part.centre_elevation_rad");
  }
}
