#include "evenstroke/components/line.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "support/near.hpp"
#include "components/refused.hpp"

// Worked examples below are quoted as printed in the open textbook companion of FOSSEE.
using namespace evenstroke;

namespace {

Line plain(double bore_m, double length_m, double minor_loss = 0) {
  Line l;
  l.bore_m = bore_m;
  l.length_m = length_m;
  l.minor_loss = minor_loss;
  return l;
}

}  // namespace

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
  }

  TEST_CASE("check: a law needs an oil and a share") {
    CHECK_THROWS_AS(line_law(plain(4e-3, 2), 0.5, 870, 0), InputError);
    CHECK_THROWS_AS(line_law(plain(4e-3, 2), 0.5, -870, 22e-6), InputError);
    CHECK_THROWS_AS(line_law(plain(4e-3, 2), 0, 870, 22e-6), InputError);
  }
}
