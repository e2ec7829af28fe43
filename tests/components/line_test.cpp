#include "evenstroke/components/line.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "components/plain_line.hpp"
#include "support/near.hpp"
#include "components/refused.hpp"

// Worked examples below are quoted as printed in the open textbook companion of FOSSEE.
using namespace evenstroke;
using testing::plain;

TEST_SUITE("components/line") {
  TEST_CASE("law: bore and length give area and volume") {
    const Line l = plain(4e-3, 2);
    CHECK(near(area_m2(l), std::numbers::pi * 4e-6, 1e-14, 0));
    CHECK(near(volume_m3(l), std::numbers::pi * 8e-6, 1e-14, 0));
  }

  TEST_CASE("law: two halves of a line drop what the whole line drops") {
    const Line l = plain(4e-3, 2, 3);
    const LineLaw<> half = line_law(l, 0.5, 870, 22e-6), whole = line_law(l, 1, 870, 22e-6);
    CHECK(near(2 * drop(half, 2e-5).dp, drop(whole, 2e-5).dp, 1e-14, 0));
  }

  TEST_CASE("limit: thin-walled closed tube grows by D/(E t) (5/4 - nu)") {
    Line l = plain(8e-3, 1);
    l.wall_m = 8e-9;
    l.wall_poisson = 0.4;
    CHECK(near(wall_compliance_per_pa(l), 8e-3 / (206e9 * 8e-9) * (1.25 - 0.4), 3e-6, 0));  // next term: 2.3 t/D
  }

  TEST_CASE("limit: a hole in an endless block grows by 2 (1 + nu)/E") {
    Line l = plain(1e-3, 1);
    l.wall_m = 1e3;
    CHECK(near(wall_compliance_per_pa(l), 2 * 1.3 / 206e9, 1e-5, 0));
  }

  TEST_CASE("reference: growth of a closed thin shell at 25 bar") {
    // B. K. Sarkar, Strength of Materials, Problem 15.1: 1507.96 cm3 by thin-shell theory, which is itself good to the
    // order of wall over diameter: 1.25 %, doubled.
    Line l = plain(0.8, 3);
    l.wall_m = 0.01;
    l.wall_modulus_pa = 200e9;
    l.wall_poisson = 0.25;
    CHECK(near(wall_compliance_per_pa(l) * volume_m3(l) * 25e5, 1507.96e-6, 0.025, 0));
  }

  TEST_CASE("reference: oil to add to a closed cylinder for 50 bar") {
    // B. K. Sarkar, Strength of Materials, Problem 15.7: 519.62 cm3, thin-shell theory (wall/diameter 1.5 %),
    // oil of modulus 2.6 GPa
    Line l = plain(0.388, 0.9);
    l.wall_m = 0.006;
    l.wall_modulus_pa = 100e9;
    l.wall_poisson = 1.0 / 3;
    CHECK(near((wall_compliance_per_pa(l) + 1 / 2.6e9) * volume_m3(l) * 50e5, 519.62e-6, 0.025, 0));
  }

  TEST_CASE("check: nonsense is refused by name") {
    CHECK(refused(plain(4e-3, 2, 2)) == "");
    CHECK(refused(Line{}) == "part.bore_m");
    CHECK(refused(plain(4, 2)) == "part.bore_m");
    CHECK(refused(plain(4e-3, -2)) == "part.length_m");
    CHECK(refused(plain(4e-3, 2, -1)) == "part.minor_loss");
    Line l = plain(4e-3, 2);
    l.wall_m = 0;
    CHECK(refused(l) == "part.wall_m");
    l = plain(4e-3, 2);
    l.wall_poisson = 0.51;
    CHECK(refused(l) == "part.wall_poisson");
    l = plain(4e-3, 2);
    l.wall_modulus_pa = 206;
    CHECK(refused(l) == "part.wall_modulus_pa");
    l = plain(4e-3, 2);
    l.expansion_per_pa = 1e-5;
    CHECK(refused(l) == "part.expansion_per_pa");
    l = plain(4e-3, 2);
    l.peak_share = 1;
    CHECK(refused(l) == "part.peak_share");
  }

  TEST_CASE("check: a point on the way has a place along the run") {
    Line l = plain(4e-3, 2);
    l.peak_m = -0.5;
    CHECK(refused(l) == "part.peak_m");
    l.peak_share = 0.3;
    CHECK(refused(l) == "");
  }

  TEST_CASE("law: the measured expansion of a hose stands in place of its wall") {
    Line l = plain(4e-3, 2);
    const double wall = wall_compliance_per_pa(l);
    l.expansion_per_pa = 2e-9;
    CHECK(wall_compliance_per_pa(l) == 2e-9);
    l.wall_modulus_pa = 1e6;
    CHECK(wall_compliance_per_pa(l) == 2e-9);
    l.expansion_per_pa = 0;
    l.wall_modulus_pa = 206e9;
    CHECK(wall_compliance_per_pa(l) == wall);
  }

  TEST_CASE("reference: a brake hose may grow a thousand times what a steel tube does, and more than soft polyamide") {
    // 49 CFR 571.106, Table I, from memory: at 1000 psi a brake hose of 1/8 in may take up 0.33 cc/ft (low expansion) to
    // 0.66 cc/ft (regular). These are upper limits, so the expansion of such a hose is at most 2e-8 to 4e-8 1/Pa.
    const double foot_m = 0.3048, psi = 6894.757293;
    const double held = volume_m3(plain(3.175e-3, foot_m)), regular = 0.66e-6 / (held * 1000 * psi);
    Line tube = plain(6e-3, 1);
    CHECK(regular > 1000 * wall_compliance_per_pa(tube));
    tube.bore_m = 4e-3;
    tube.wall_modulus_pa = 0.4e9;
    tube.wall_poisson = 0.4;
    CHECK(regular > wall_compliance_per_pa(tube));
    Line hose = plain(3.175e-3, foot_m);
    hose.expansion_per_pa = regular;
    CHECK(refused(hose) == "");
  }

  TEST_CASE("check: a law needs an oil and a share") {
    CHECK_THROWS_AS(line_law(plain(4e-3, 2), 0.5, 870, 0), InputError);
    CHECK_THROWS_AS(line_law(plain(4e-3, 2), 0.5, -870, 22e-6), InputError);
    CHECK_THROWS_AS(line_law(plain(4e-3, 2), 0, 870, 22e-6), InputError);
  }
}
