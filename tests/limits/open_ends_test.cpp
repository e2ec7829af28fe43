// A line parted at its cylinder end hangs from the valve block (height 0) and looks into the air. Siphon, capillary
// hold, draining: what runs out, and how fast.
#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "support/bubble_laws.hpp"
#include "support/hanging.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

constexpr double sigma = 0.030;

}  // namespace

TEST_SUITE("limits/open_ends") {
  TEST_CASE("limit: an open end below the reservoir's level runs by rho g dz, less 4 sigma/d, over the resistance") {
    for (const double end_m : {-0.5, -1.0, -2.0}) {
      CAPTURE(end_m);
      Hanging h(hanging(4e-3, 3, end_m));
      const double dp = h.rho_g() * (h.level_m() - end_m) - h.capillary_pa();
      h.stand({.retract = true}, 2);
      const double from_s = h.c.time_s, from_m3 = h.spilled_m3();
      h.stand({.retract = true}, 20);
      const double q = (h.spilled_m3() - from_m3) / (h.c.time_s - from_s), closed = h.poiseuille_m3_per_s(dp, 3);
      CHECK(near(q, closed, 5e-3, 0));
      CHECK(h.c.ledger.air_ingested_kg == 0.0);
      MESSAGE("end at " << end_m << " m runs " << q * 1e6 << " mL/s, off by " << q / closed - 1);
    }
  }

  TEST_CASE("limit: above the level it does not run; it draws air, drains back and stands 4 sigma/(rho g d) above it") {
    for (const double end_m : {0.25, 0.5, 1.0}) {
      CAPTURE(end_m);
      Hanging h(hanging(4e-3, 2, end_m));
      for (int i = 0; i < 600; ++i) h.stand({.retract = true}, 3);   // heads are those of a quantum's start
      CHECK(h.spilled_m3() == 0.0);
      const double stands_m = h.oil_m3() / volume_m3(h.line()) * end_m, rise_m = h.capillary_pa() / h.rho_g();
      CHECK(near(stands_m - h.level_m(), rise_m, 5e-3, 0));          // Jurin
      MESSAGE("end at " << end_m << " m: oil up to " << stands_m << " m, " << rise_m << " m over the level");
    }
  }

  TEST_CASE("limit: shut above, an open lower end holds in 2, 3 and 3.4 mm: not a drop in an hour") {
    for (const double bore_m : {2e-3, 3e-3, 3.4e-3})
      for (const double length_m : {0.3, 2.0}) {
        CAPTURE(bore_m);
        CAPTURE(length_m);
        Hanging h(hanging(bore_m, length_m, -length_m));
        const double capillary_m = std::sqrt(sigma / (h.net.rho0_kg_per_m3 * gravity_m_per_s2));
        CHECK(bore_m < 2 * 0.918 * capillary_m);   // Bretherton 1961: 3.46 mm
        h.stand({}, 3600);
        const double column = h.net.rho0_kg_per_m3 * gravity_m_per_s2 * length_m / h.net.liquid.k0_pa;
        CHECK(h.c.ledger.oil_spilled_kg < column * total(h.c).oil_kg);   // it stretches as it begins to hang
        const double first = h.c.ledger.oil_spilled_kg;
        h.stand({}, 3600);
        CHECK(h.c.ledger.oil_spilled_kg == first);
        CHECK(h.c.ledger.air_ingested_kg < 1e-15);
      }
  }

  TEST_CASE("limit: wider than 3.46 mm the air creeps up at the speed of a long bubble, and the line runs empty") {
    for (const double bore_m : {4e-3, 5e-3, 6e-3, 8e-3}) {
      CAPTURE(bore_m);
      const double length_m = 1;
      Hanging h(hanging(bore_m, length_m, -length_m));
      const double rho = h.net.rho0_kg_per_m3, mu = h.net.mu_pa_s, area = std::numbers::pi / 4 * bore_m * bore_m;
      const double air = p0_pa_abs / h.net.gas_j_per_kg, eo = (rho - air) * gravity_m_per_s2 * bore_m * bore_m / sigma;
      const double speed = std::min(viana_m_per_s(bore_m, mu, rho, sigma, air),
                                    bretherton_m_per_s(bore_m, mu, rho, sigma, air));
      CHECK(eo > 3.37);
      h.stand({}, 1e-3);
      const double from_m3 = h.spilled_m3();
      h.stand({}, 0.5 * length_m / speed);
      const double ran = h.spilled_m3() - from_m3;
      CHECK(near(ran, 0.5 * length_m * area, 5e-3, 0));
      h.stand({}, 0.6 * length_m / speed);
      CHECK(held(h.c, h.net.place("a.cap_line")).oil_kg < 0.01 * length_m * area * rho);
      MESSAGE("bore " << bore_m << " speed " << speed << " m/s, ran off by " << ran / (0.5 * length_m * area) - 1);
    }
  }

  TEST_CASE("limit: open above and below, any bore drains by rho g L less 4 sigma/d over what its oil resists") {
    for (const double bore_m : {2e-3, 3e-3, 4e-3, 6e-3}) {
      CAPTURE(bore_m);
      Rig r = hanging(bore_m, 1, 1);             // up from the valve block, whose way to the reservoir is open
      r.reservoir.area_m2 = 10;                  // its level is 2 mm above the block
      Hanging h(r);
      const double area = std::numbers::pi / 4 * bore_m * bore_m;
      const double first = h.poiseuille_m3_per_s(h.rho_g(), 1);
      h.stand({.retract = true}, 0.02 * area / first);
      const double from_s = h.c.time_s, from_m3 = h.oil_m3();
      for (int i = 0; i < 6; ++i) h.stand({.retract = true}, 0.01 * area / first);   // gas resists 3 % as much as oil
      const double q = (from_m3 - h.oil_m3()) / (h.c.time_s - from_s);
      const double x = (from_m3 + h.oil_m3()) / 2 / area;
      const double closed = h.poiseuille_m3_per_s(h.rho_g() * (x - h.level_m()) - h.capillary_pa(), x + 0.03 * (1 - x));
      CHECK(near(q, closed, 5e-3, 0));
      for (int i = 0; i < 40; ++i) h.stand({.retract = true}, 0.05 * area / first);
      CHECK(h.oil_m3() < 0.02 * area);
      CHECK(h.spilled_m3() == 0.0);
      MESSAGE("bore " << bore_m << " drains " << q * 1e6 << " mL/s, off by " << q / closed - 1 << ", left "
                      << h.oil_m3() / area);
    }
  }
}
