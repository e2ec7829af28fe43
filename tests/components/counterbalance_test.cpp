#include "evenstroke/components/counterbalance.hpp"

#include <doctest/doctest.h>

#include "support/dual.hpp"
#include "support/near.hpp"

using namespace evenstroke;

namespace {

constexpr double p0 = p0_pa_abs;
const CounterbalanceLaw<> k_valve{60e5, 1e-10, 3.0};
const CounterbalanceLaw<> k_sharp{60e5, 1e-10, 3.0, 1.0};   // corners of 1 Pa

}  // namespace

TEST_SUITE("components/counterbalance") {
  TEST_CASE("law: load and pilot open it together, the pilot with its ratio") {
    CHECK(flow(k_valve, p0 + 28e5, p0, p0).q == 0.0);
    CHECK(flow(k_valve, p0 + 28e5, p0, p0 + 10e5).q == 0.0);
    CHECK(near(flow(k_sharp, p0 + 28e5, p0, p0 + 12e5).q, 1e-10 * (28e5 + 3 * 12e5 - 60e5), 1e-5, 0));
    CHECK(near(flow(k_sharp, p0 + 65e5, p0, p0).q, 1e-10 * 5e5, 1e-5, 0));
  }

  TEST_CASE("limit: tight at its setting and below, without weeping; half the rounding is all the line is moved by") {
    CHECK(flow(k_valve, p0 + 60e5, p0, p0).q == 0.0);
    CHECK(near(flow(k_valve, p0 + 65e5, p0, p0).q, 1e-10 * (5e5 - 0.5e5), 1e-9, 0));
  }

  TEST_CASE("limit: held wide open by the pilot it passes the drop over its resistance, and without a drop nothing") {
    CHECK(near(flow(k_valve, p0 + 3e5, p0, p0 + 80e5).q, 1e-10 * (3e5 - 0.5e5), 1e-9, 0));
    CHECK(flow(k_valve, p0 + 3e5, p0, p0 + 80e5).dq_dpilot == 0.0);
    CHECK(flow(k_valve, p0, p0, p0 + 80e5).q == 0.0);
  }

  TEST_CASE("limit: nothing ever comes back, whatever the pilot does") {
    for (double pilot : {0.0, 10e5, 19e5, 25e5, 300e5})
      for (double drop : {-300e5, -1e5, -1.0, 0.0}) {
        CAPTURE(pilot);
        CAPTURE(drop);
        CHECK(flow(k_valve, p0, p0 - drop, p0 + pilot).q == 0.0);
      }
  }

  TEST_CASE("derivative: all three slopes agree with dual numbers, shut, in both corners, throttling and wide open") {
    const CounterbalanceLaw<Dual> dual{Dual(60e5), Dual(1e-10), Dual(3)};
    struct Row {
      double from, pilot;
    };
    const Row rows[] = {{28e5, 0},       {59e5, 0},        {60.4e5, 0},     {65e5, 0},      {28e5, 11e5},
                        {28e5, 12e5},    {0.4e5, 19.95e5}, {3e5, 19.95e5},  {3e5, 20.05e5}, {0.6e5, 40e5},
                        {3e5, 80e5}};
    for (const Row& r : rows) {
      CAPTURE(r.from);
      CAPTURE(r.pilot);
      const PilotedFlow<double> f = flow(k_valve, p0 + r.from, p0, p0 + r.pilot);
      const auto by = [&](double a, double b, double c) {
        return flow(dual, Dual(p0 + r.from, a), Dual(p0, b), Dual(p0 + r.pilot, c)).q.d;
      };
      CHECK(near(f.dq_dfrom, by(1, 0, 0), 1e-11, 0));
      CHECK(near(f.dq_dto, by(0, 1, 0), 1e-11, 0));
      CHECK(near(f.dq_dpilot, by(0, 0, 1), 1e-11, 0));
    }
  }

  TEST_CASE("limit: flow has no jump anywhere along a rising pilot") {
    double before = 0;
    for (double pilot = 0; pilot < 30e5; pilot += 1e3) {
      const double q = flow(k_valve, p0 + 5e5, p0, p0 + pilot).q;
      CAPTURE(pilot);
      CHECK(q >= before);
      CHECK(q - before <= 1.01e-10 * 3 * 1e3);
      before = q;
    }
    CHECK(near(before, 1e-10 * 4.5e5, 1e-9, 0));
  }

  TEST_CASE("reference: 3000 psi held, ratio 4 to 1: 750 psi of pilot open it when nothing pushes from downstream") {
    // Trade note on pilot ratios (common practice; its own worked figure). A load of 1 psi shows where it opens.
    const double psi = 6894.757293;
    const CounterbalanceLaw<> valve{3000 * psi, 1e-10, 4.0, 1.0};
    CHECK(flow(valve, p0 + psi, p0, p0 + 749 * psi).q == 0.0);
    CHECK(near(flow(valve, p0 + psi, p0, p0 + 751 * psi).q, 1e-10 * psi, 1e-3, 0));
  }
}
