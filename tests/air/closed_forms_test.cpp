#include "evenstroke/air/closed_forms.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "evenstroke/base/constants.hpp"
#include "evenstroke/base/error.hpp"
#include "support/near.hpp"

using namespace evenstroke;

namespace {

/// A made-up rig: 20 mm bore, 12 mm rod, 250 mm stroke, 5 mm lines, 1.4 GPa, 180 kg on two rods, 0.36 L/min each.
double disc(double d) { return std::numbers::pi / 4 * d * d; }
const double cap = disc(20e-3), rod = disc(12e-3), ring = cap - rod, stroke = 0.25, line = disc(5e-3);
constexpr double modulus = 1.4e9, flow = 0.36e-3 / 60;
const double load = 90 * gravity_m_per_s2, loaded = load / cap + p0_pa_abs;   // 28.1 bar gauge

}  // namespace

TEST_SUITE("air/closed_forms") {
  TEST_CASE("check: rod lost to 1 mL of air, by hand") {
    // 1 mL over 314.16 mm2 is 3.183 mm; 1 - 1/28.72 of it, and with n = 1.4 less
    CHECK(near(air_offset_m(1e-6, cap, loaded, 1), 3.072e-3, 0, 1e-6));
    CHECK(near(air_offset_m(1e-6, cap, loaded, 1.4), 2.894e-3, 0, 1e-6));
    CHECK(near(air_offset_m(1e-6, cap, 1e12, 1), 3.183e-3, 0, 1e-6));
    CHECK(air_offset_m(1e-6, cap, p0_pa_abs, 1) == 0);
    CHECK(air_offset_m(0, cap, loaded, 1.4) == 0);
  }

  TEST_CASE("balance: locked cylinder, one pressure in both chambers carries the load") {
    const double p = locked_pressure_pa_gauge(load, rod);
    CHECK(near(p * cap - p * ring, load, 1e-12, 0));
    CHECK(near(p / (load / cap), 400.0 / 144, 1e-12, 0));   // bore over rod, squared: 28 bar become 78
    CHECK(near(p, 78.04e5, 0, 0.01e5));
  }

  TEST_CASE("agreement: time to pressurise against a march of the pressure") {
    const double air = 2e-6, oil = 100e-6;
    for (const double n : {1.0, 1.4}) {
      CAPTURE(n);
      double time = 0;
      constexpr int steps = 2000;
      const double h = std::log(loaded / p0_pa_abs) / steps;
      for (int i = 0; i < steps; ++i) {  // dt = (V/K + V_g/(n p)) dp/Q, midpoints in ln p
        const double p = p0_pa_abs * std::exp(h * (i + 0.5));
        const double gas = air * std::pow(p0_pa_abs / p, 1 / n);
        time += (oil / modulus + gas / (n * p)) * p * h / flow;
      }
      CHECK(near(pressurise_time_s(air, oil, modulus, loaded, n, flow), time, 1e-6, 0));
    }
    CHECK(near(pressurise_time_s(air, oil, modulus, loaded, 1, flow), 0.355, 0, 0.001));
    CHECK(near(pressurise_time_s(0, oil, modulus, loaded, 1, flow), 0.033, 0, 0.001));
  }

  TEST_CASE("agreement: stiffness is the force over a small push") {
    const double oil = cap * stroke / 2 + line * 1.2, air = 2e-6;
    for (const double p : {3e5, 11e5, 29e5, 61e5}) {
      CAPTURE(p);
      const double gas = air * p0_pa_abs / p, dp = 1e-4 * p;  // slow to p, then quick: p V^1.4 = const
      const auto volume = [&](double x) { return oil * (1 - (x - p) / modulus) + gas * std::pow(p / x, 1 / 1.4); };
      const double push = (volume(p - dp) - volume(p + dp)) / cap;
      CHECK(near(stiffness_n_per_m(cap, oil, modulus, air, p, 1.4), 2 * dp * cap / push, 1e-6, 0));
    }
    // N/m with 2 mL of air at 2 and 28 bar gauge, worked out apart; without air and with 90 kg on it 24.88 Hz
    CHECK(near(stiffness_n_per_m(cap, oil, modulus, air, 2e5 + p0_pa_abs, 1.4), 0.0602e6, 0, 50));
    CHECK(near(stiffness_n_per_m(cap, oil, modulus, air, 28e5 + p0_pa_abs, 1.4), 1.590e6, 0, 500));
    CHECK(near(natural_frequency_hz(stiffness_n_per_m(cap, oil, modulus, 0, loaded, 1.4), 90), 24.88, 0, 0.005));
  }

  TEST_CASE("reference: natural frequency of a cylinder and its load") {
    // Worked example of a public motion-control forum: 4 in bore, 2.5 in rod, 12 in stroke at its middle, 1000 lb,
    // 180 000 psi: 77.033 Hz
    const double inch = 25.4e-3, k = 180e3 * 6894.757, a = disc(4 * inch), b = a - disc(2.5 * inch), half = 6 * inch;
    const double both = stiffness_n_per_m(a, a * half, k, 0, 1e6, 1) + stiffness_n_per_m(b, b * half, k, 0, 1e6, 1);
    CHECK(near(natural_frequency_hz(both, 1000 * 0.45359237), 77.033, 1e-4, 0));
  }

  TEST_CASE("agreement: closed circuit, air counted cycle by cycle") {
    const double alpha = cap / ring;
    for (const double volume : {0.0, line * 2.0, line * 20.0}) {
      CAPTURE(volume);
      const double from_cap = cap * stroke / (cap * stroke + volume);
      const double from_rod = ring * stroke / (ring * stroke + volume);
      double in_cap = 1, in_rod = 1, survival = 0;
      for (int i = 0; i < 400; ++i) {
        const double start = in_cap + in_rod;
        const double returned = from_cap * in_cap;   // retract: 1 - 1/alpha of it to the reservoir, the rest across
        in_cap -= returned;
        in_rod += returned / alpha;
        const double crossed = from_rod * in_rod;    // extend: all of the rod side's return feeds the cap side
        in_rod -= crossed;
        in_cap += crossed;
        survival = (in_cap + in_rod) / start;
        in_cap /= survival, in_rod /= survival;
      }
      CHECK(near(closed_circuit_survival_mixed(alpha, from_cap, from_rod), survival, 1e-10, 0));
    }
    CHECK(near(closed_circuit_survival(alpha), 0.64, 1e-12, 0));
    const double mixed = closed_circuit_survival_mixed(alpha, 1 / (1 + 2 * line / (cap * stroke)),
                                                       1 / (1 + 2 * line / (ring * stroke)));
    CHECK(near(mixed, 0.8367, 0, 5e-5));
    CHECK(near(std::log(0.05) / std::log(mixed), 16.8, 0, 0.05));   // cycles to 5 %; without lines 6.7
    CHECK(closed_circuit_survival_mixed(alpha, 0, 0) == 1);
    CHECK(near(closed_circuit_survival_mixed(1 + 1e-9, 1, 1), 1, 2e-9, 0));
  }

  TEST_CASE("check: nonsense is refused") {
    CHECK_THROWS_AS(air_offset_m(-1, cap, 1e5, 1), InputError);
    CHECK_THROWS_AS(air_offset_m(1e-6, cap, 1e5, 0), InputError);
    CHECK_THROWS_AS(locked_pressure_pa_gauge(load, 0), InputError);
    CHECK_THROWS_AS(pressurise_time_s(0, 1e-4, modulus, 1e6, 1, 0), InputError);
    CHECK_THROWS_AS(stiffness_n_per_m(cap, 0, modulus, 0, 1e6, 1), InputError);
    CHECK_THROWS_AS(natural_frequency_hz(1, std::nan("")), InputError);
    CHECK_THROWS_AS(closed_circuit_survival(1), InputError);
    CHECK_THROWS_AS(closed_circuit_survival_mixed(1.5, 1.1, 0.5), InputError);
  }
}
