// Closed forms with numbers, where no circuit of these parts runs them: a row of stirred cells, a closed circuit
// that returns one side's oil to the other, a load that swings on its oil. The numbers are arithmetic of the stated
// formulas, met to half of their last digit unless said.
#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "evenstroke/air/closed_forms.hpp"
#include "evenstroke/air/streamtubes.hpp"
#include "evenstroke/base/constants.hpp"
#include "support/near.hpp"

using namespace evenstroke;

namespace {

double disc(double d) { return std::numbers::pi / 4 * d * d; }
// A made-up platform: 20 mm bore, 12 mm rod, 250 mm stroke, lines of 5 mm and 1.2 m, 1.4 GPa, 90 kg on each rod.
const double cap = disc(20e-3), ring = cap - disc(12e-3), line = 1.2 * disc(5e-3);
constexpr double modulus = 1.4e9, stroke = 0.25, mass_kg = 90;

/// Both sides of a rod at x, with `dead_m3` at each end.
double both_sides(double x_m, double dead_m3) {
  return stiffness_n_per_m(cap, dead_m3 + cap * x_m, modulus, 0, 1e6, 1) +
         stiffness_n_per_m(ring, dead_m3 + ring * (stroke - x_m), modulus, 0, 1e6, 1);
}

/// Where a falling law meets 1 %.
template <class Law>
double volumes_to_one_percent(Law law) {
  double low = 0, high = 30;
  for (int i = 0; i < 60; ++i) (law((low + high) / 2) > 0.01 ? low : high) = (low + high) / 2;
  return low;
}

}  // namespace

TEST_SUITE("limits/law_numbers") {
  TEST_CASE("law: n stirred cells let 1 % out, and keep 1 % inside, after these volumes") {
    struct Row { int n; double outlet, inside; };   // inverse incomplete gamma functions, worked out apart, four digits
    for (const Row& r : {Row{1, 4.605, 4.605}, {2, 3.319, 2.995}, {5, 2.321, 1.955}, {10, 1.878, 1.561},
                         {20, 1.592, 1.332}, {50, 1.358, 1.165}, {100, 1.247, 1.095}}) {
      CAPTURE(r.n);
      CHECK(near(volumes_to_one_percent([&](double t) { return tanks_outlet(r.n, t); }), r.outlet, 0, 6e-4));
      CHECK(near(volumes_to_one_percent([&](double t) { return tanks_inventory(r.n, t); }), r.inside, 0, 6e-4));
      double variance = -1;                         // 2 int theta F dtheta - 1, the mean being 1
      for (int i = 0; i < 60000; ++i) variance += 2 * (i + 0.5) * 1e-3 * tanks_outlet(r.n, (i + 0.5) * 1e-3) * 1e-3;
      CHECK(near(variance, 1.0 / r.n, 1e-3, 0));
    }
    CHECK(near(tanks_outlet(20, 1.2), 0.180261, 0, 6e-7));
    CHECK(near(tanks_inventory(20, 1.2), 0.0263261, 0, 6e-8));
  }

  TEST_CASE("law: a load on shut-in oil swings at sqrt(k/m)/2 pi: 40.05 Hz, 30.12 with its lines, 24.88 on one side") {
    const double root = std::sqrt(cap / ring);
    CHECK(near(natural_frequency_hz(both_sides(stroke * root / (1 + root), 0), mass_kg), 40.05, 0, 0.005));
    const double k = std::pow(cap / ring, 1.5), weakest = (k * (line + ring * stroke) - line) / (cap + k * ring);
    CHECK(near(weakest, 170.66e-3, 0, 0.005e-3));
    CHECK(near(both_sides(weakest, line), 3.223e6, 0, 0.0005e6));
    CHECK(near(natural_frequency_hz(both_sides(weakest, line), mass_kg), 30.12, 0, 0.005));
    const double one = stiffness_n_per_m(cap, cap * stroke / 2 + line, modulus, 0, 1e6, 1);
    CHECK(near(natural_frequency_hz(one, mass_kg), 24.88, 0, 0.005));
  }

  TEST_CASE("law: 2 mL of air soften the cap side to these, quick swings, n = 1.4") {
    const double oil = cap * stroke / 2 + line, bled = stiffness_n_per_m(cap, oil, modulus, 0, 1e6, 1);
    struct Row { double bar, n_per_um; };
    for (const Row& r : {Row{2, 0.0602}, {5, 0.222}, {10, 0.601}, {28, 1.590}, {60, 2.024}}) {
      CAPTURE(r.bar);
      const double k = stiffness_n_per_m(cap, oil, modulus, 2e-6, r.bar * 1e5 + p0_pa_abs, 1.4);
      CHECK(near(k, r.n_per_um * 1e6, 2.5e-3, 0));   // half of the last digit, at most 0.23 %
      if (r.bar == 2) CHECK(near(bled / k, 36.5, 0, 0.05));
      if (r.bar == 2) CHECK(near(natural_frequency_hz(k, mass_kg), 4.1, 0, 0.05));
      if (r.bar == 28) CHECK(near(bled / k, 1.38, 0, 0.005));
    }
  }

  TEST_CASE("law: 100 mL comes under a load's 28.1 bar in 0.0334 s, with 2 mL of air in 0.355 s") {
    constexpr double flow = 6e-6;
    const double p = mass_kg * gravity_m_per_s2 / cap + p0_pa_abs;
    CHECK(near(pressurise_time_s(0, 100e-6, modulus, p, 1, flow), 100e-6 * 28.094e5 / 1.4e9 / flow, 1e-4, 0));
    CHECK(near(pressurise_time_s(2e-6, 100e-6, modulus, p, 1, flow), 0.355, 0, 5e-4));
  }

  TEST_CASE("law: cycles of a closed circuit: 6.7 and 10.3 to 5 and 1 %, with stirred lines 16.8 and 25.8") {
    const double alpha = cap / ring, wide = 2 * disc(5e-3), v_cap = cap * stroke, v_rod = ring * stroke;
    const double bare = std::log(closed_circuit_survival(alpha));
    CHECK(near(std::log(0.05) / bare, 6.7, 0, 0.05));
    CHECK(near(std::log(0.01) / bare, 10.3, 0, 0.05));
    const double mixed = std::log(closed_circuit_survival_mixed(alpha, v_cap / (v_cap + wide), v_rod / (v_rod + wide)));
    CHECK(near(std::log(0.05) / mixed, 16.8, 0, 0.05));
    CHECK(near(std::log(0.01) / mixed, 25.8, 0, 0.05));
    // 5 mL down to what costs 1 mm at 28 bar on this bore, 0.3255 mL
    const double share = 1e-3 / air_offset_m(5e-6, cap, 28e5 + p0_pa_abs, 1);
    CHECK(near(share, 0.0651, 0, 5e-5));
    CHECK(near(std::log(share) / mixed, 15.3, 0, 0.05));
  }
}
