#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "evenstroke/components/orifice.hpp"
#include "support/dual.hpp"
#include "support/near.hpp"

using namespace evenstroke;

namespace {

const double k_area_m2 = std::numbers::pi / 4 * 4e-6;
const OrificeLaw<> k_hole = orifice_law(k_area_m2, 0.62, 870, 22e-6, 1000);
const OrificeLaw<> k_sharp = orifice_law(k_area_m2, 0.62, 870, 22e-6, 1e-6);

}  // namespace

TEST_SUITE("components/orifice_mixture") {
  TEST_CASE("agreement: with factors of one and no choking it is the law of oil") {
    for (double dp : {-20e5, -1.0, 0.0, 30.0, 1e5, 25e5}) {
      CAPTURE(dp);
      const ThroughFlow<double> oil = flow(k_hole, 30e5 + dp, 30e5), mixture = flow(k_hole, 30e5 + dp, 30e5, 1., 1., 0., 0.);
      CHECK(mixture.q == oil.q);
      CHECK(mixture.dq_dfrom == oil.dq_dfrom);
      CHECK(mixture.dq_dto == oil.dq_dto);
    }
  }

  TEST_CASE("law: a mixture of a quarter of the density flows twice as fast where it is turbulent") {
    CHECK(near(flow(k_sharp, 30e5, 10e5, 0.25, 1., 0., 0.).q, 2 * flow(k_sharp, 30e5, 10e5).q, 1e-6, 0));
  }

  TEST_CASE("law: one of half the viscosity flows twice as fast where it is laminar, whatever its density") {
    const double slope = flow(k_hole, 1e5, 1e5).dq_dfrom;
    CHECK(near(flow(k_hole, 1e5, 1e5, 0.3, 0.5, 0., 0.).dq_dfrom, 2 * slope, 1e-12, 0));
  }

  TEST_CASE("law: odd when both sides hold the same, choking or not") {
    for (double dp : {1.0, 1e4, 5e5, 9e5, 9.9e5, 11e5, 19e5}) {
      const ThroughFlow<double> there = flow(k_hole, 20e5, 20e5 - dp, 0.7, 0.8, 0.5, 0.5);
      const ThroughFlow<double> back = flow(k_hole, 20e5 - dp, 20e5, 0.7, 0.8, 0.5, 0.5);
      CAPTURE(dp);
      CHECK(there.q == -back.q);
      CHECK(there.dq_dfrom == -back.dq_dto);
      CHECK(there.dq_dto == -back.dq_dfrom);
    }
  }

  TEST_CASE("limit: below the critical ratio the pressure downstream no longer counts") {
    const ThroughFlow<double> choked = flow(k_sharp, 28e5, 1.2e5, 1., 1., 0.4, 0.);
    CHECK(choked.dq_dto == 0.0);
    CHECK(near(choked.q, 0.62 * k_area_m2 * std::sqrt(2 * 0.6 * 28e5 / 870), 1e-6, 0));
    CHECK(flow(k_sharp, 28e5, 5e5, 1., 1., 0.4, 0.).q == choked.q);
  }

  TEST_CASE("limit: the side the mixture comes from decides; above the corner nothing is lost") {
    CHECK(flow(k_hole, 28e5, 1.2e5, 1., 1., 0., 0.6).q == flow(k_hole, 28e5, 1.2e5).q);
    CHECK(flow(k_hole, 1.2e5, 28e5, 1., 1., 0.6, 0.).q == flow(k_hole, 1.2e5, 28e5).q);
    CHECK(flow(k_hole, 28e5, 28e5 * 0.44, 1., 1., 0.4, 0.).q == flow(k_hole, 28e5, 28e5 * 0.44).q);   // limit less 1/20
    const double corner = choked_drop(10e5, 4e5, 0.4).dp;
    CHECK(near(corner, 6e5 * (1 - 0.0125), 1e-12, 0));
  }

  TEST_CASE("limit: flow falls and its slopes run on without a jump across the corner") {
    ThroughFlow<double> before = flow(k_hole, 20e5, 15e5, 0.8, 0.9, 0.5, 0.);
    for (double p = 15e5; p > 5e5; p -= 1e3) {
      const ThroughFlow<double> now = flow(k_hole, 20e5, p, 0.8, 0.9, 0.5, 0.);
      CAPTURE(p);
      CHECK(now.q >= before.q);
      CHECK(near(now.dq_dto, before.dq_dto, 0, 0.02 * std::abs(flow(k_hole, 20e5, 15e5).dq_dto)));
      CHECK(near(now.dq_dfrom, before.dq_dfrom, 0, 0.02 * flow(k_hole, 20e5, 15e5).dq_dfrom));
      before = now;
    }
  }

  TEST_CASE("derivative: both slopes agree with dual numbers in both directions, free, in the corner and choked") {
    const OrificeLaw<Dual> dual{Dual(k_hole.laminar), Dual(k_hole.turbulent)};
    const Dual density(0.8), viscosity(0.7), choke_from(0.5), choke_to(0.3);
    for (double low : {19.9e5, 15e5, 10.4e5, 10e5, 9.7e5, 6.5e5, 6e5, 5.5e5, 1e5})
      for (bool forward : {true, false}) {
        const double from = forward ? 20e5 : low, to = forward ? low : 20e5;
        CAPTURE(low);
        CAPTURE(forward);
        const ThroughFlow<double> f = flow(k_hole, from, to, 0.8, 0.7, 0.5, 0.3);
        const auto by = [&](double a, double b) {
          return flow(dual, Dual(from, a), Dual(to, b), density, viscosity, choke_from, choke_to).q.d;
        };
        CHECK(near(f.dq_dfrom, by(1, 0), 1e-11, 1e-30));
        CHECK(near(f.dq_dto, by(0, 1), 1e-11, 1e-30));
      }
  }

  TEST_CASE("limit: a shut opening passes no mixture, and no pressure upstream drives none") {
    CHECK(flow(OrificeLaw<>{1, 0}, 30e5, 1e5, 0.5, 0.5, 0.5, 0.5).q == 0.0);
    CHECK(flow(k_hole, 0.0, -1e5, 0.5, 0.5, 0.5, 0.5).q == 0.0);
  }
}
