#include "evenstroke/network/stored_work.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::Bench;
using testing::bench_rig;

namespace {

Bench at_pressure(const Rig& r, double p_pa_abs, const char* place, double gas_kg) {
  Bench b(r);
  b.c.pressure_pa_abs[b.index(place)] = p_pa_abs;
  b.c.masses[b.index(place)].pocket_kg = gas_kg;
  b.fill();
  return b;
}

/// int (p - p0) (-dV) of oil and gas from p0 to p by Simpson's rule over p: another way to the same number.
double by_quadrature(const Network& n, const Masses& m, double p_pa_abs) {
  constexpr int steps = 20000;
  const double h = (p_pa_abs - p0_pa_abs) / steps;
  const double oil_m3 = m.oil_kg / n.rho0_kg_per_m3, g = m.gas_kg() * n.gas_j_per_kg;
  double sum = 0;
  for (int i = 0; i <= steps; ++i) {
    const double p = p0_pa_abs + h * i, weight = i == 0 || i == steps ? 1 : i % 2 ? 4 : 2;
    sum += weight * (p - p0_pa_abs) * (g / (p * p) - oil_m3 * relative_volume_dp(n.liquid, p));
  }
  return sum * h / 3;
}

}  // namespace

TEST_SUITE("network/stored_work") {
  TEST_CASE("limit: at p0 nothing is stored; oil alone stores V p^2/(2K), gas alone G (ln r - 1 + 1/r)") {
    Rig r = bench_rig(1, SynchroniserKind::tee, 6e-6);
    r.branches[0].cylinder.cap_clearance_m3 = 2e-5;
    const Bench rest(r);
    CHECK(near(stored_work_j(rest.net, rest.c), 0, 0, 1e-15));
    const Bench oil = at_pressure(r, 41e5, "a.cap_chamber", 0);
    const double over = 41e5 - p0_pa_abs;
    const double oil_m3 = oil.c.masses[oil.index("a.cap_chamber")].oil_kg / oil.net.rho0_kg_per_m3;
    CHECK(near(stored_work_j(oil.net, oil.c), oil_m3 * over * over / (2 * 5e9), 1e-12, 0));
    const double gas_j = 1.0, p = 10 * p0_pa_abs;
    const Bench gas = at_pressure(r, p, "a.cap_chamber", gas_j / rest.net.gas_j_per_kg);
    const double rest_m3 = gas.c.masses[gas.index("a.cap_chamber")].oil_kg / gas.net.rho0_kg_per_m3;
    const double in_oil = rest_m3 * (p - p0_pa_abs) * (p - p0_pa_abs) / (2 * 5e9);
    CHECK(near(stored_work_j(gas.net, gas.c) - in_oil, gas_j * (std::log(10.0) - 1 + 0.1), 1e-9, 0));
  }
  TEST_CASE("agreement: closed form and quadrature, real oil with and without gas, above and below p0") {
    Rig r = testing::workshop_rig(SynchroniserKind::tee);
    r.branches[0].cylinder.cap_clearance_m3 = 2e-5;
    for (const double p : {0.3e5, 1.02e5, 5e5, 60e5, 300e5})
      for (const double gas_kg : {0.0, 2e-8, 4e-6}) {
        CAPTURE(p);
        CAPTURE(gas_kg);
        const Bench b = at_pressure(r, p, "a.cap_chamber", gas_kg);
        const Masses m = b.c.masses[b.index("a.cap_chamber")];
        CHECK(near(stored_work_j(b.net, b.c), by_quadrature(b.net, m, p), 1e-7, 1e-14));
      }
  }
  TEST_CASE("law: a swollen line and an empty space below p0 store work, too") {
    Rig r = bench_rig(1, SynchroniserKind::tee, 6e-6);
    r.branches[0].cap_line.wall_modulus_pa = 1e9;
    Bench b(r);
    const std::size_t line = b.index("a.cap_line");
    b.c.pressure_pa_abs[line] = p0_pa_abs + 20e5;
    b.fill();
    const double oil_m3 = held(b.c, static_cast<int>(line)).oil_kg / b.net.rho0_kg_per_m3;
    const double soft = oil_m3 / 5e9 + b.net.places[line].wall_m3_per_pa;
    CHECK(near(stored_work_j(b.net, b.c), 0.5 * soft * 20e5 * 20e5, 1e-9, 0));

    Bench empty(r);
    const std::size_t cap = empty.index("a.cap_chamber");
    empty.c.masses[cap].oil_kg = 0;
    empty.c.pressure_pa_abs[cap] = 1000;
    CHECK(near(stored_work_j(empty.net, empty.c), 1e-7 * (p0_pa_abs - 1000), 1e-9, 0));
  }
}
