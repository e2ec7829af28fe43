#include "evenstroke/transport/tank.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>
#include <utility>

#include "evenstroke/base/constants.hpp"
#include "support/near.hpp"

using namespace evenstroke;

namespace {

constexpr double per_min = 1e-3 / 60, nu = 32e-6, rho = 870;   // 1 L/min [m3/s]

/// An open vessel of 100 cm2 with oil of 32 mm2/s, 100 mm deep, with its books.
struct Vat {
  Vessel v;
  Tank t;
  Ledger l;
  explicit Vat(double coarse_m = 1e-3, double fine_m = 0.12e-3) {
    Network n;
    n.rig.oil.temperature_k = 293.15;
    n.rho0_kg_per_m3 = rho;
    n.mu_pa_s = nu * rho;
    n.gas_j_per_kg = air_gas_constant * 293.15;
    n.rig.reservoir = {.oil_m3 = 1e-3, .area_m2 = 100e-4, .intake_m = 0.02, .capacity_m3 = 2e-3};
    n.rig.reservoir.return_m = 0;
    n.rig.air.coarse_m = coarse_m;
    n.rig.air.fine_m = fine_m;
    v = vessel(n);
    t.oil_kg = 1e-3 * rho;
    t.dissolved_kg = v.equilibrium_kg_per_m3 * 1e-3;
  }
  double gas_kg(double m3) const { return m3 * p0_pa_abs / v.gas_j_per_kg; }
  double gas_m3(double kg) const { return kg * v.gas_j_per_kg / p0_pa_abs; }
  double air() const { return t.air_kg() + l.air_vented_kg - l.air_ingested_kg; }
  double oil() const { return t.oil_kg + l.oil_spilled_kg; }
};

}  // namespace

TEST_SUITE("transport/tank") {
  TEST_CASE("reference: what a through-flow removes (Hazen 1904, from memory)") {
    // min(1, U A/Q) with Stokes' U, g d^2/(18 nu): at 1 L/min, 100 cm2 and 32 mm2/s 0.102 of 0.1 mm, 0.408 of 0.2 mm
    // (g 9.81; the finite Reynolds number takes 0.4 % off the larger), all above 0.313 mm.
    const auto removed = [](double d, double flow) {
      Vat a(d, 0.02e-3);
      a.t.foam_kg = 0;
      receive(a.t, a.v, {.oil_kg = flow * 0.5 * rho, .coarse_kg = 1e-12}, 0.5, a.l);
      CHECK(near(a.t.foam_kg + a.t.coarse_kg, 1e-12, 1e-14, 0));
      return a.t.foam_kg / 1e-12;
    };
    CHECK(near(removed(0.1e-3, per_min), 0.102, 0, 5e-4));
    CHECK(near(removed(0.2e-3, per_min), 0.408, 0.005, 0));
    CHECK(removed(0.33e-3, per_min) == 1);
    CHECK(removed(0.30e-3, per_min) < 1);
    CHECK(near(removed(0.1e-3, 2 * per_min), removed(0.1e-3, per_min) / 2, 1e-6, 0));
    Vat half(0.1e-3, 0.02e-3);                           // half of what comes is gas: bubbles count in the flow
    receive(half.t, half.v, {.oil_kg = per_min / 2 * rho, .coarse_kg = half.gas_kg(per_min / 2)}, 1, half.l);
    CHECK(near(half.gas_m3(half.t.foam_kg) / (per_min / 2), 0.102, 0, 5e-4));
  }

  TEST_CASE("law: still oil clears from below, and begins anew when stirred") {
    Vat a;
    a.v.shape.foam_s = 1e12;
    a.t.fine_kg = 1e-12;
    const double u = gravity_m_per_s2 * 0.12e-3 * 0.12e-3 / (18 * nu), depth = 0.1, clears = depth / u;   // Stokes
    for (int i = 1; i <= 8; ++i) {
      rest(a.t, a.v, clears / 10, false, a.l);
      CHECK(near(a.t.fine_kg, 1e-12 * (1 - i / 10.0), 0.02, 0));
    }
    CHECK(near(a.t.foam_kg + a.t.fine_kg + a.l.air_vented_kg, 1e-12, 1e-14, 0));
    const double stays = a.t.fine_kg;
    rest(a.t, a.v, 1, true, a.l);
    CHECK(a.t.fine_kg == stays);
    rest(a.t, a.v, clears / 2, false, a.l);              // the front starts from the floor again
    CHECK(near(a.t.fine_kg, stays / 2, 0.02, 0));
    rest(a.t, a.v, clears, false, a.l);
    CHECK(a.t.fine_kg == 0);
  }

  TEST_CASE("balance: oil and air with the ledger, whatever comes and goes") {
    std::mt19937 random(11);
    std::uniform_real_distribution<double> u(0, 1);
    Vat a;
    a.v.pull_through = 0.5;
    a.v.shape.return_m = 0.09;
    a.v.plunge_onset_m_per_s = 0.1;
    double oil = a.oil(), air = a.air(), through_oil = oil, through_air = air;
    for (int i = 0; i < 3000; ++i) {
      const double seconds = u(random);
      const Bundle in{u(random) * 0.8, u(random) * 1e-5, u(random) * 1e-5, u(random) * 1e-5, u(random) * 1e-4};
      if (u(random) < 0.5) {
        receive(a.t, a.v, in, seconds, a.l);
        oil += in.oil_kg;
        air += in.air_kg();
        through_air += in.air_kg();
        through_oil += in.oil_kg;
      }
      const double volume = u(random) * 4e-4;
      const Bundle next = peek(a.t, a.v, volume, seconds), out = draw(a.t, a.v, volume, seconds, a.l);
      CHECK(next.oil_kg == out.oil_kg);
      CHECK(next.coarse_kg == out.coarse_kg);
      CHECK(near(out.oil_kg / rho + a.gas_m3(out.gas_kg()), volume, 1e-12, 0));
      oil -= out.oil_kg;
      air -= out.air_kg();
      rest(a.t, a.v, 30 * seconds, u(random) < 0.3, a.l);
      CHECK(std::min({a.t.oil_kg, a.t.coarse_kg, a.t.fine_kg, a.t.dissolved_kg, a.t.foam_kg}) >= 0);
    }
    CHECK(a.l.oil_spilled_kg > 0);
    CHECK(a.l.air_ingested_kg > 0);
    CHECK(near(a.oil(), oil, 0, 1e-14 * through_oil));
    CHECK(near(a.air(), air, 0, 1e-14 * (through_air + a.l.air_ingested_kg + a.l.air_vented_kg)));
  }

  TEST_CASE("law: above the brim the mixture runs over") {
    Vat a;
    a.t.fine_kg = a.gas_kg(1e-4);
    const double dissolved = a.t.dissolved_kg;
    receive(a.t, a.v, {.oil_kg = 1.5e-3 * rho, .dissolved_kg = 1.5 * dissolved}, 60, a.l);
    CHECK(near(level_m(a.t, a.v), 0.2, 1e-12, 0));
    const double over = 0.6 / 2.6;
    CHECK(near(a.l.oil_spilled_kg, over * 2.5e-3 * rho, 1e-12, 0));
    CHECK(near(a.l.air_vented_kg, over * (2.5 * dissolved + a.gas_kg(1e-4)), 1e-12, 0));
  }

  TEST_CASE("law: the intake draws what is there, then foam, then air from above") {
    Vat a;
    a.t.fine_kg = a.gas_kg(1e-5);
    Bundle b = draw(a.t, a.v, 1.01e-4, 60, a.l);
    CHECK(near(b.oil_kg, 1e-4 * rho, 1e-12, 0));
    CHECK(near(b.fine_kg, a.gas_kg(1e-6), 1e-12, 0));
    CHECK(near(b.dissolved_kg / b.oil_kg, a.t.dissolved_kg / a.t.oil_kg, 1e-12, 0));
    CHECK(b.coarse_kg == 0);
    a.t.foam_kg = a.gas_kg(3e-5);
    b = draw(a.t, a.v, 8.09e-4, 60, a.l);                // 7.09e-4 stand above the intake
    CHECK(near(a.gas_m3(b.coarse_kg), 1e-4, 1e-9, 0));
    CHECK(near(a.gas_m3(a.l.air_ingested_kg), 7e-5, 1e-9, 0));
    CHECK(a.t.foam_kg == 0);
    CHECK(near(level_m(a.t, a.v), 0.02, 1e-9, 0));
  }

  TEST_CASE("reference: a quick draw pulls the surface down (Lubin and Springer 1967, from memory)") {
    // 0.69 (Q^2/g)^(1/5): 5.4 mm at 1 L/min, 3.1 mm at 0.25 L/min, for a thin liquid
    for (const auto& [flow, mm] : {std::pair{per_min, 5.4}, std::pair{0.25 * per_min, 3.1}})
      for (const double over : {0.97, 1.03}) {
        Vat a;
        a.v.pull_through = 0.69;
        a.t.oil_kg = (0.02 + over * mm * 1e-3) * 100e-4 * rho;
        CHECK((draw(a.t, a.v, flow * 1e-3, 1e-3, a.l).coarse_kg > 0) == (over < 1));
      }
  }

  TEST_CASE("law: a return above the level carries air under, one below it none") {
    const double flow = 2 * per_min, pipe = flow / (std::numbers::pi / 4 * 8e-3 * 8e-3);
    const auto carried = [&](double return_m, double onset) {
      Vat a;
      a.v.shape.return_m = return_m;
      a.v.plunge_onset_m_per_s = onset;
      a.v.plunge_share = 0.1;
      receive(a.t, a.v, {.oil_kg = flow * rho}, 1, a.l);
      CHECK(a.t.coarse_kg == a.l.air_ingested_kg);
      return a.gas_m3(a.t.coarse_kg) / flow;
    };
    const double jet = std::sqrt(pipe * pipe + 2 * gravity_m_per_s2 * 0.15);   // Torricelli
    CHECK(near(carried(0.25, 1), 0.1 * (1 - 1 / jet), 1e-9, 0));
    CHECK(carried(0.25, 2 * jet) == 0);
    CHECK(carried(0.09, 0.01) == 0);
  }

  TEST_CASE("limit: foam collapses in its time, at once when that is zero; slugs burst to foam") {
    Vat a;
    a.v.shape.foam_s = 60;
    receive(a.t, a.v, {.oil_kg = 0.1, .pocket_kg = 1e-6}, 1, a.l);
    CHECK(a.t.foam_kg == 1e-6);
    rest(a.t, a.v, 60, true, a.l);
    CHECK(near(a.t.foam_kg, 1e-6 * std::exp(-1.0), 1e-12, 0));
    a.v.shape.foam_s = 0;
    rest(a.t, a.v, 1e-3, true, a.l);
    CHECK(a.t.foam_kg == 0);
    CHECK(near(a.l.air_vented_kg, 1e-6, 1e-12, 0));
  }

  TEST_CASE("limit: oil gives off what it holds beyond equilibrium, and takes nothing in through its surface") {
    Vat a;
    const double full = a.t.dissolved_kg;
    CHECK(near(full, 0.09 * 1e-3 * p0_pa_abs / (air_gas_constant * 273.15), 1e-12, 0));   // S of its volume at 0 deg C
    a.t.dissolved_kg = 2 * full;
    a.v.solution_s = 1e12;
    rest(a.t, a.v, 1e6, false, a.l);
    CHECK(a.t.dissolved_kg == 2 * full);
    a.v.solution_s = 10;
    rest(a.t, a.v, 10, false, a.l);
    CHECK(near(a.t.dissolved_kg, full * (1 + std::exp(-1.0)), 1e-12, 0));
    CHECK(near(a.l.air_vented_kg, full * (1 - std::exp(-1.0)), 1e-12, 0));
    a.t.dissolved_kg = 0.5 * full;
    rest(a.t, a.v, 1e6, false, a.l);
    CHECK(a.t.dissolved_kg == 0.5 * full);
  }
}
