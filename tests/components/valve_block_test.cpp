#include "evenstroke/components/valve_block.hpp"

#include <doctest/doctest.h>

#include "support/dual.hpp"
#include "support/near.hpp"
#include "components/refused.hpp"

// Worked examples below are quoted as printed in the open textbook companion of FOSSEE.
using namespace evenstroke;

namespace {

const ReliefLaw<> k_relief{90e5, 2e-11};

}  // namespace

TEST_SUITE("components/valve_block") {
  TEST_CASE("law: shut below cracking, a straight line above it") {
    CHECK(flow(k_relief, 89.5e5, 0.0).q == 0.0);
    CHECK(flow(k_relief, 1e5, 90e5).q == 0.0);
    CHECK(near(flow(k_relief, 96e5, 0.0).q, 2e-11 * 6e5, 1e-12, 0));
    CHECK(near(flow(k_relief, 97e5, 1e5).q, 2e-11 * 6e5, 1e-12, 0));
  }

  TEST_CASE("limit: at cracking the rounded corner weeps an eighth of its width") {
    CHECK(near(flow(k_relief, 90e5, 0.0).q, 2e-11 * 1e5 / 8, 1e-12, 0));
  }

  TEST_CASE("limit: flow and slope have no jump over the corner") {
    ThroughFlow<double> before = flow(k_relief, 89.4e5, 0.0);
    for (double p = 89.4e5; p < 90.6e5; p += 100) {
      const ThroughFlow<double> now = flow(k_relief, p, 0.0);
      CAPTURE(p);
      CHECK(now.q >= before.q);
      CHECK(near(now.q, before.q, 0, 2.1e-11 * 100));
      CHECK(near(now.dq_dfrom, before.dq_dfrom, 0, 2.1e-11 * 100 / 1e5));
      before = now;
    }
  }

  TEST_CASE("derivative: both slopes agree with dual numbers") {
    const ReliefLaw<Dual> dual{Dual(90e5), Dual(2e-11)};
    for (double p : {60e5, 89.7e5, 90.2e5, 99e5}) {
      CAPTURE(p);
      CHECK(near(flow(k_relief, p, 1e3).dq_dfrom, flow(dual, Dual(p, 1), Dual(1e3)).q.d, 1e-11, 0));
      CHECK(near(flow(k_relief, p, 1e3).dq_dto, flow(dual, Dual(p), Dual(1e3, 1)).q.d, 1e-11, 0));
    }
  }

  TEST_CASE("reference: pressure above cracking is the spring's further compression over the poppet area") {
    // A. Esposito, Fluid Power with Applications, Example 8-1: 2500 lb/in, 0.75 in2, lift 0.10 in; cracks at 667
    // psi and is full open at 1000 psi. Flow proportional to lift is our straight line.
    const double psi = 6894.757293, spring_n_per_m = 437817.0881, poppet_m2 = 4.8387e-4, lift_m = 2.54e-3;
    const ReliefLaw<> r{667 * psi, 1e-11};
    CHECK(near(flow(r, 1000 * psi, 0.0).q, 1e-11 * spring_n_per_m * lift_m / poppet_m2, 2e-3, 0));
  }

  TEST_CASE("check: nonsense is refused by name") {
    CHECK(refused(ValveBlock{}) == "");
    const auto with = [](double ValveBlock::*member, double value) {
      ValveBlock v;
      v.*member = value;
      return refused(v);
    };
    CHECK(with(&ValveBlock::path_area_m2, 0) == "part.path_area_m2");
    CHECK(with(&ValveBlock::lowering_area_m2, 7) == "part.lowering_area_m2");
    CHECK(with(&ValveBlock::relief_pa_gauge, 90) == "part.relief_pa_gauge");
    CHECK(with(&ValveBlock::relief_gain_m3_per_s_pa, -2e-11) == "part.relief_gain_m3_per_s_pa");
    CHECK(with(&ValveBlock::passage_m3, 2) == "part.passage_m3");
    CHECK(with(&ValveBlock::counterbalance_pa_gauge, -1) == "part.counterbalance_pa_gauge");
    CHECK(with(&ValveBlock::pilot_ratio, 0.5) == "part.pilot_ratio");
    CHECK(with(&ValveBlock::counterbalance_gain_m3_per_s_pa, 0) == "part.counterbalance_gain_m3_per_s_pa");
    CHECK(with(&ValveBlock::high_point_m3, -1e-6) == "part.high_point_m3");
  }

  TEST_CASE("check: a high point is part of its passage") {
    ValveBlock v;
    v.high_point_m3 = v.passage_m3;
    CHECK(refused(v) == "");
    v.high_point_m3 *= 1.01;
    CHECK(refused(v) == "part.high_point_m3");
  }
}
