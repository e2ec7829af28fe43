// Friction of a line on its way to a moving rod, laminar and turbulent, by the full simulator.
#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::Bench;
using testing::bench_rig;

namespace {

/// Darcy's friction factor of a smooth line after Churchill 1977 (from memory), written as printed.
double churchill_factor(double re) {
  const double a = std::pow(2.457 * std::log(1 / std::pow(7 / re, 0.9)), 16), b = std::pow(37530 / re, 16);
  return 8 * std::pow(std::pow(8 / re, 12) + std::pow(a + b, -1.5), 1.0 / 12);
}

/// Friction factor of the cap line of a rod that extends, at about a Reynolds number.
struct Seen {
  double re, f;
};
Seen seen_near(double re) {
  constexpr double bore_m = 4e-3, length_m = 3, nu = 10e-6;
  const double flow = re * std::numbers::pi * bore_m * nu / 4;
  Rig r = bench_rig(1, SynchroniserKind::tee, flow);
  r.oil = oil_by_grade(10);
  r.oil.temperature_k = 313.15;
  r.oil.modulus_40_pa = 1e12;
  r.oil.modulus_slope = r.oil.pressure_viscosity_per_pa = 0;
  Branch& b = r.branches[0];
  b.cylinder.bore_m = 60e-3;
  b.cylinder.rod_m = 30e-3;
  b.cap_line = {.bore_m = bore_m, .length_m = length_m, .wall_m = 20e-3, .wall_modulus_pa = 500e9, .minor_loss = 0};
  b.rod_line.bore_m = 15e-3;
  r.valve_block.path_area_m2 = r.valve_block.lowering_area_m2 = 5e-4;
  Bench bench(r);
  const Drive d{.motor = true, .extend = true};
  bench.drive(d, 0.3);
  const double x = bench.c.position_m[0], t = bench.c.time_s;
  bench.drive(d, 0.3);
  const double q = cap_area_m2(b.cylinder) * (bench.c.position_m[0] - x) / (bench.c.time_s - t);
  const double area = std::numbers::pi / 4 * bore_m * bore_m, rho = density(r.oil, r.oil.temperature_k);
  const double drop = bench.pressure("valve_block.a") - bench.pressure("a.cap_chamber");
  return {4 * q / (std::numbers::pi * bore_m * nu), drop * bore_m / length_m * 2 * area * area / (rho * q * q)};
}

}  // namespace

TEST_SUITE("limits/turbulent_line") {
  TEST_CASE("limit: a line's friction follows Churchill's curve from laminar through transition to turbulent") {
    for (const double about : {500.0, 1500.0, 2500.0, 4835.0, 10000.0, 20000.0}) {
      CAPTURE(about);
      const auto [re, f] = seen_near(about);
      CHECK(near(f, churchill_factor(re), 5e-3, 0));
      if (re < 1000) CHECK(near(f, 64 / re, 5e-3, 0));
      MESSAGE("Re " << re << ": f " << f << ", off by " << f / churchill_factor(re) - 1);
    }
  }

  // McKeon et al. 2004, J. Fluid Mech. 511, 41, a smooth pipe; Blasius 1913 (from memory), 4e3 < Re < 1e5.
  TEST_CASE("reference: turbulent it is the measured one within 2 %, and Blasius' 0.3164 Re^-1/4 within 3 %") {
    const Seen measured = seen_near(4844.3);   // the pump yields a little
    CHECK(near(measured.re, 4835, 2e-3, 0));
    CHECK(near(measured.f, 0.03797, 2e-2, 0));   // the scatter of the measured points round it
    for (const double about : {6000.0, 10000.0, 20000.0}) {
      CAPTURE(about);
      const auto [re, f] = seen_near(about);
      const double blasius = 0.3164 * std::pow(re, -0.25);
      CHECK(near(f, blasius, 3e-2, 0));          // what two fits of one chart differ by
      MESSAGE("Re " << re << " off Blasius by " << f / blasius - 1);
    }
  }
}
