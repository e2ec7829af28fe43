#include "evenstroke/components/line_flow.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "support/dual.hpp"
#include "components/plain_line.hpp"
#include "support/near.hpp"

// Worked examples below are quoted as printed in the open textbook companion of FOSSEE.
using namespace evenstroke;
using testing::plain;

namespace {

double circle_m2(double d) { return std::numbers::pi / 4 * d * d; }

double flow_at(double bore_m, double length_m, double rho, double nu, double dp) {
  return flow(line_law(plain(bore_m, length_m), 1, rho, nu), dp, 0.0).q;
}

double friction_factor(double re, double roughness = 0) { return 64 / re * churchill(re, roughness).phi; }

const LineLaw<> k_thin = line_law(plain(3e-3, 1, 2), 1, 870, 10e-6);

}  // namespace

TEST_SUITE("components/line_flow") {
  TEST_CASE("law: flow is odd, grows with the difference and is undone by the drop, laminar to turbulent") {
    double before = 0;
    for (double dp = 1; dp < 1e9; dp *= 1.3) {
      CAPTURE(dp);
      const double q = flow(k_thin, 1e5 + dp, 1e5).q;
      CHECK(q > before);
      CHECK(near(drop(k_thin, q).dp, dp, 1e-8, 1e-9 * 1e5));
      CHECK(flow(k_thin, dp, 0.0).q == -flow(k_thin, 0.0, dp).q);
      before = q;
    }
    CHECK(k_thin.re_per_flow * before > 1e5);
  }

  TEST_CASE("limit: where the closed form hands over, flow and slope are continuous") {
    const double at = drop(k_thin, laminar_re / k_thin.re_per_flow).dp;
    const ThroughFlow<double> below = flow(k_thin, at * (1 - 1e-8), 0.0), above = flow(k_thin, at * (1 + 1e-8), 0.0);
    CHECK(k_thin.re_per_flow * below.q < laminar_re);
    CHECK(k_thin.re_per_flow * above.q > laminar_re * (1 - 1e-12));
    CHECK(near(above.q, below.q, 4e-8, 0));
    CHECK(near(above.dq_dfrom, below.dq_dfrom, 1e-6, 0));
    CHECK(near(churchill(laminar_re, 0.0).phi, 1, 1e-8, 0));
  }

  TEST_CASE("limit: minor losses alone take zeta rho v^2/2") {
    const double q = 1e-4, v = q / circle_m2(3e-3);
    const LineLaw<> without = line_law(plain(3e-3, 1), 1, 870, 10e-6);
    CHECK(near(drop(k_thin, q).dp - drop(without, q).dp, 2 * 870 * v * v / 2, 1e-10, 0));
  }

  TEST_CASE("derivative: slopes agree with dual numbers, laminar, at the hand-over, in transition and turbulent") {
    const LineLaw<Dual> dual{Dual(k_thin.resistance), Dual(k_thin.minor), Dual(k_thin.re_per_flow)};
    for (double dp : {-4e6, -2e3, 0.0, 10.0, 1e4, 1.5e5, 2.2e5, 3e5, 6e5, 1e6, 1e8}) {
      CAPTURE(dp);
      const ThroughFlow<double> f = flow(k_thin, 1e5 + dp, 1e5);
      CHECK(near(f.dq_dfrom, flow(dual, Dual(1e5 + dp, 1), Dual(1e5)).q.d, 1e-9, 0));
      CHECK(near(f.dq_dto, flow(dual, Dual(1e5 + dp), Dual(1e5, 1)).q.d, 1e-9, 0));
    }
  }

  TEST_CASE("derivative: dual numbers carry a change of the resistance through the iteration") {
    for (double dp : {1e4, 3e5, 1e6}) {
      const LineLaw<Dual> dual{Dual(k_thin.resistance, 1), Dual(k_thin.minor), Dual(k_thin.re_per_flow)};
      const double h = 1e-5 * k_thin.resistance;
      CAPTURE(dp);
      LineLaw<> more = k_thin, less = k_thin;
      more.resistance += h;
      less.resistance -= h;
      const double difference = (flow(more, dp, 0.0).q - flow(less, dp, 0.0).q) / (2 * h);
      CHECK(near(flow(dual, Dual(dp), Dual(0)).q.d, difference, 1e-6, 0));
    }
  }

  TEST_CASE("derivative: the slope of the friction factor is that of its value") {
    for (double re : {1500.0, 2200.0, 2700.0, 3500.0, 1e4, 1e6})
      for (double roughness : {0.0, 1e-3}) {
        CAPTURE(re);
        const double by_dual = slope_of([&](auto x) { return churchill(x, Dual(roughness)).phi; }, re);
        CHECK(near(churchill(re, roughness).re_phi_slope, re * by_dual, 1e-10, 0));
      }
  }

  TEST_CASE("reference: laminar losses of worked examples") {
    // Massey and Ward-Smith, Mechanics of Fluids; Cengel and Cimbala, Fluid Mechanics; Munson, Young and Okiishi,
    // Fundamentals of Fluid Mechanics; J. F. Douglas, Fluid Mechanics; A. Esposito, Fluid Power with Applications
    struct Row {
      const char* source;
      double bore_m, length_m, rho, nu, flow_m3_per_s, dp_pa, rel;
    };
    const Row rows[] = {
        {"Massey, Example 6.1: oil, 12 mm", 0.012, 1, 900, 0.08 / 900, 2.3 * circle_m2(0.012), 40888.889, 1e-6},
        {"Cengel, Example 8-2: 3 mm, Re 1777", 3e-3, 9, 1000, 1.519e-6, 0.9 * circle_m2(3e-3), 43.7e3, 2e-3},
        {"Munson, Example 8.2: 20 mm, Re 3", 0.02, 10, 900, 0.4 / 900, 2e-5, 20.4e3, 2e-3},
        {"J. F. Douglas, Example 10.2: 10 mm, 1.8 L/min", 0.01, 6.5, 1000, 0.9e-3, 3e-5, 715e3, 1e-3},
        {"Esposito, Example 4-3: 1 in", 0.0254, 30.48, 899.1, 1e-4, 3.048 * circle_m2(0.0254), 413685.4, 5e-3},
        {"fluids 1.3.1 one_phase_dP: 22 cSt, 4 mm, 1 L/min", 4e-3, 1, 870, 22e-6, 1e-3 / 60, 50770.426846, 1e-9},
        {"fluids 1.3.1 one_phase_dP: 22 cSt, 3 mm, 0.2 L/min", 3e-3, 1, 870, 22e-6, 0.2e-3 / 60, 32091.924130, 1e-9},
    };
    for (const Row& r : rows) {
      CAPTURE(r.source);
      CHECK(near(flow_at(r.bore_m, r.length_m, r.rho, r.nu, r.dp_pa), r.flow_m3_per_s, r.rel, 0));
    }
  }

  TEST_CASE("reference: pressure at the motor after lift, pipe and elbow") {
    // A. Esposito, Fluid Power with Applications, Example 4-9: 5 hp, 30 gpm, 20 ft up, 21 ft of 1 in pipe: 260 psi
    const double q = 0.001892705892, rho = 899.595, speed = q / circle_m2(0.0254);
    const double loss = drop(line_law(plain(0.0254, 6.4008, 0.9), 1, rho, 1e-4), q).dp;
    CHECK(near(3728.499 / q - rho * (9.80665 * 6.096 + speed * speed / 2) - loss, 1792636.9, 5e-3, 0));
  }

  TEST_CASE("reference: friction factor of a rough pipe by another code") {
    // fluids 1.3.1, Churchill_1977(1e4, 1e-3)
    CHECK(near(friction_factor(1e4, 1e-3), 0.0326901986, 1e-8, 0));
  }

  TEST_CASE("reference: smooth turbulent friction against Colebrook and measurement") {
    // fluids 1.3.1: friction_factor (Colebrook), one_phase_dP (10 cSt, 3 mm, 5 L/min, Re 3537); two fits, 2 % apart
    CHECK(near(friction_factor(4000), 0.0399070141, 0.02, 0));
    CHECK(near(friction_factor(1e4), 0.0308829504, 0.02, 0));
    CHECK(near(drop(line_law(plain(3e-3, 1), 1, 870, 10e-6), 5e-3 / 60).dp, 834296.8519, 0.02, 0));
    // McKeon et al. 2004, J. Fluid Mech. 511, 41, smooth pipe, measured; laminar data scatter by 5 %
    CHECK(near(friction_factor(113.3), 0.5709, 0.05, 0));
    CHECK(near(friction_factor(402.9), 0.1656, 0.05, 0));
    CHECK(near(friction_factor(4835), 0.03797, 0.02, 0));
    // Blasius 1913, 0.3164 Re^-1/4, from memory; at this Re it lies 2 to 3 % above Colebrook itself
    CHECK(near(friction_factor(1e4), 0.3164 * std::pow(1e4, -0.25), 0.035, 0));
  }

  TEST_CASE("reference: smooth 50 mm tube at Re 134000") {
    // Cengel and Cimbala, Example 8-3: 96.5 kPa with roughness 2 um, which adds 2 % that our smooth law leaves out
    CHECK(near(drop(line_law(plain(0.05, 60), 1, 999, 0.001138 / 999), 0.006).dp, 96536, 0.03, 0));
  }
}
